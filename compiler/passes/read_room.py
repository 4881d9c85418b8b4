"""`72 in wide, 60 in high, 40 in deep, at left 4 in, down 6 in`: a box on an upright face."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ..catalogue.facts import quantity, unknown_words
from ..model.finding import Findings
from ..model.hookup import Room
from ..model.span import Span
from ..source.tree import Phrase
from .read_place import read_place

_SIDES = ("wide", "high", "deep")


def read_room(
    phrases: Sequence[Phrase], span: Span, what: str, findings: Findings, *, needs_depth: bool = False
) -> Room | None:
    """The box that the details of a line say; None where a side that it needs is not said. `what`: its name.

    The place is that of the lower left corner of its face, as seen facing the coil's connections.
    Finds: sides that are missing, said twice or not above zero, words that say nothing of a box.
    """
    place, rest = read_place(phrases, findings)
    sides: dict[str, Fraction] = {}
    broken = False
    for phrase in rest:
        name = phrase.atoms[-1].text
        if len(phrase.atoms) != 2 or name not in _SIDES or phrase.atoms[0].kind == "word":
            message = f"`{phrase.text}` says nothing of a {what}"
            known = ("72 in wide", "60 in high", "40 in deep", "at left 4 in")
            findings.items.append(unknown_words("unknown-detail", phrase.atoms, known, message))
            continue
        value = quantity(phrase.atoms[0], "length", findings)
        if value is not None and value <= 0:
            findings.add("not-positive", f"no {what} is that {name}", phrase.span, help="write a length above zero")
        if value is None or value <= 0:
            broken = True
        elif name in sides:
            findings.add("said-twice", f"how {name} it is is said before", phrase.span, help="leave one of the two out")
        else:
            sides[name] = Fraction(value)
    missing = [side for side in _SIDES[: 3 if needs_depth else 2] if side not in sides]
    if missing and not broken:
        message = f"how {' and how '.join(missing)} the {what} is is not said"
        added = ", ".join(f"60 in {side}" for side in missing)
        findings.add("quantity-missing", message, span.after(), help=f"add the lengths: `, {added}`")
    if missing:
        return None
    nought = Fraction(0)
    left, face, bottom = (place.right, place.toward, place.up) if place is not None else (None, None, None)
    left, bottom = left or nought, bottom or nought
    return Room(left, left + sides["wide"], bottom, bottom + sides["high"], face or nought, sides.get("deep"), span)
