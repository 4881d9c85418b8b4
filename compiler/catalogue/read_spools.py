"""The line `spools to 20 ft, 400 lb, through 3 ft by 7 ft` of a takeoff block."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from ..model.declared import SpoolLimits
from ..model.finding import Findings
from ..model.quantity import QuantityProblem, read_quantity
from ..source.tree import Atom, Fact, Phrase
from .facts import quantity

_HELP = "write the length, weight and opening that a spool may have: `spools to 20 ft, 400 lb, through 3 ft by 7 ft`"


def read_spools(phrases: Iterable[Phrase], fact: Fact, findings: Findings) -> SpoolLimits:
    """The limits of a line, each of which may be missing, but not all.

    Finds: a line without limits, words that say none, limits that are no length or weight above zero.
    """
    length: Fraction | None = None
    weight: float | None = None
    door: tuple[Fraction, Fraction] | None = None
    for phrase in phrases:
        words = [atom.text for atom in phrase.atoms if atom.kind == "word"]
        amounts = [atom for atom in phrase.atoms if atom.kind in ("quantity", "size", "number")]
        if words == ["through", "by"] and len(amounts) == 2:
            sides = [_length(atom, findings) for atom in amounts]
            if sides[0] is not None and sides[1] is not None:
                door = (min(sides[0], sides[1]), max(sides[0], sides[1]))
        elif words in ([], ["to"]) and len(amounts) == 1:
            if isinstance(read_quantity(amounts[0].text, "mass"), QuantityProblem):
                length = _length(amounts[0], findings)
            else:
                pounds = _above_zero(quantity(amounts[0], "mass", findings), amounts[0], findings)
                weight = None if pounds is None else float(pounds)
        elif phrase.atoms:
            findings.add("unknown-detail", f"`{phrase.text}` is no limit of a spool", phrase.span, help=_HELP)
    if not any(phrase.atoms for phrase in (Phrase(fact.phrases[0].atoms[1:]), *fact.phrases[1:])):
        findings.add("quantity-missing", "a limit of spools is missing here", fact.span.after(), help=_HELP)
    return SpoolLimits(length, weight, door)


def _length(atom: Atom, findings: Findings) -> Fraction | None:
    value = _above_zero(quantity(atom, "length", findings), atom, findings)
    return None if value is None else Fraction(value)


def _above_zero(value: Fraction | float | None, atom: Atom, findings: Findings) -> Fraction | float | None:
    if value is not None and value <= 0:
        message = f"no spool keeps within `{atom.text}`"
        findings.add("not-positive", message, atom.span, help="write a limit above zero")
        return None
    return value
