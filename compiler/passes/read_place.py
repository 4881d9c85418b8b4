"""`at right 14 in, up 6 in, toward 3 in`: where a connection, a main, a floor or a wall is."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ..catalogue.facts import quantity, unknown_words
from ..model.finding import Findings
from ..model.hookup import AXIS, Place
from ..source.tree import Atom, Phrase


def read_place(phrases: Sequence[Phrase], findings: Findings) -> tuple[Place | None, list[Phrase]]:
    """The place that some details say, and the details that say something else.

    Lengths count from the unit's bench mark, as seen facing the coil's connections.
    Finds: directions nobody knows, lengths that are none, two lengths along one line of space.
    """
    said: dict[int, Fraction] = {}
    rest: list[Phrase] = []
    taken: list[Phrase] = []
    for phrase in phrases:
        atoms = list(phrase.atoms)
        begins = atoms[0].text == "at" and _is_length(atoms[1:])
        if begins:
            atoms = atoms[1:]
        elif not taken or not _is_length(atoms):
            rest.append(phrase)
            continue
        taken.append(phrase)
        direction, atom = atoms
        if direction.text not in AXIS:
            message = f"`{direction.text}` is no direction"
            findings.items.append(unknown_words("unknown-direction", [direction], AXIS, message))
            continue
        value = quantity(atom, "length", findings)
        if value is None:
            continue
        axis = AXIS[direction.text]
        if axis in said:
            message = f"how far to go {direction.text} is said before, along the same line"
            findings.add("said-twice", message, phrase.span, help="leave one of the two out")
            continue
        said[axis] = Fraction(value) * (1 if direction.text in ("right", "toward", "up") else -1)
    if not taken:
        return None, rest
    span = taken[0].span.to(taken[-1].span)
    return Place(said.get(0), said.get(1), said.get(2), span), rest


def _is_length(atoms: Sequence[Atom]) -> bool:
    """A word and a length (or what was meant as one)."""
    return len(atoms) == 2 and atoms[0].kind == "word" and atoms[1].kind in ("quantity", "size", "number")
