"""Lines of a takeoff block on stock: in what lengths pipe and tube come, the saw's kerf, what is on hand."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from ..model.declared import OnHand
from ..model.ends import FAMILY
from ..model.finding import Findings
from ..model.size import Size
from ..source.tree import Atom, Fact, Phrase
from .facts import one_quantity, quantity, read_size, unknown_words

_AMOUNTS = ("quantity", "size", "number")
_ON_HAND = "write how many and how long: `on hand 3 at 7 ft 2 in, 4, carbon steel schedule 40`"
_LENGTHS = "write `pipe in 21 ft lengths`, or `pipe in 21 ft or 10 ft lengths`"


def stock_lengths(phrase: Phrase, behind: Fact, findings: Findings) -> tuple[Fraction, ...]:
    """The lengths of a phrase such as `21 ft or 10 ft lengths`.

    Finds: no length, what is no length, lengths not above zero, words that say nothing.
    """
    atoms = [atom for atom in phrase.atoms if atom.kind in _AMOUNTS]
    if not atoms:
        findings.add("quantity-missing", "a stock length is missing here", behind.span.after(), help=_LENGTHS)
        return ()
    for atom in phrase.atoms:
        if atom.kind not in _AMOUNTS and atom.text not in ("or", "and", "lengths", "length"):
            findings.add("unknown-detail", f"`{atom.text}` says nothing of a stock length", atom.span, help=_LENGTHS)
    return tuple(length for atom in atoms if (length := _length(atom, findings)) is not None)


def _length(atom: Atom, findings: Findings) -> Fraction | None:
    value = quantity(atom, "length", findings)
    if value is not None and value <= 0:
        message = f"pipe does not come in lengths of `{atom.text}`"
        findings.add("not-positive", message, atom.span, help="write a length above zero, such as `21 ft`")
        return None
    return None if value is None else Fraction(value)


def saw_kerf(fact: Fact, rest: tuple[Atom, ...], findings: Findings) -> Fraction | None:
    """The kerf of `saw kerf 1/8 in`; 0 for a cutter that loses nothing. Finds what is no length."""
    value = one_quantity(rest, "length", fact.span, findings)
    return None if value is None else Fraction(value)


def on_hand(fact: Fact, rest: tuple[Atom, ...], findings: Findings) -> OnHand | None:
    """Lengths in the yard: `on hand 3 at 7 ft 2 in, 4, carbon steel schedule 40`.

    Finds: no number or no length, numbers and lengths not above zero, what is no size and no pipe material.
    """
    if not rest or rest[0].kind == "quantity" or rest[0].text == "at":
        findings.add("number-missing", "how many are on hand is not said", fact.span, help=_ON_HAND)
        return None
    if not rest[0].text.isdigit() or int(rest[0].text) == 0:
        message = f"`{rest[0].text}` is no number of lengths"
        findings.add("not-positive", message, rest[0].span, help=_ON_HAND)
        return None
    amounts = [atom for atom in rest[1:] if atom.kind in _AMOUNTS]
    if not amounts:
        findings.add(
            "quantity-missing", "how long they are is missing here", fact.phrases[0].span.after(), help=_ON_HAND
        )
        return None
    for atom in rest[1:]:
        if atom not in amounts[:1] and atom.text != "at":
            findings.add("unknown-detail", f"`{atom.text}` says nothing of a length on hand", atom.span, help=_ON_HAND)
    length = _length(amounts[0], findings)
    told = _size_and_material(fact.phrases[1:], findings)
    return None if length is None or told is None else OnHand(int(rest[0].text), length, *told, (fact.span,))


def _size_and_material(phrases: Iterable[Phrase], findings: Findings) -> tuple[Size | None, str] | None:
    size: Size | None = None
    material = ""
    for phrase in phrases:
        if len(phrase.atoms) == 1 and phrase.atoms[0].kind in ("size", "number"):
            size = read_size(phrase.atoms[0], findings)
            if size is None:
                return None
            continue
        name = phrase.text.partition(" schedule ")[0].partition(" type ")[0]
        if name not in FAMILY:
            message = f"`{phrase.text}` is no size and no pipe material"
            findings.items.append(unknown_words("unknown-metal", phrase.atoms, FAMILY, message))
            return None
        material = phrase.text
    return size, material
