"""What is said above the isometrics of a hookup: for which units they hold, how to read them, which are left out."""

from __future__ import annotations

from collections.abc import Iterable

from .pictures import Pictures

_READ = (
    "Not to scale. Lengths centre to centre, at the end of a spool to its face. EL: level of the centreline above the "
    "unit's bench mark. Gaskets and bolts: see the list of bolting."
)


def notes_above(drawn: Pictures) -> list[str]:
    """The notes above its isometrics, in order."""
    return [*holds_for(drawn), _READ, *reasons(drawn.left_out)]


def holds_for(drawn: Pictures) -> list[str]:
    """For which units drawings hold, where the heading cannot name them all."""
    tags = drawn.tags
    return [f"Holds for {len(tags)} units: {', '.join(tags)}."] if len(tags) > 2 else []


def reasons(left_out: Iterable[str]) -> list[str]:
    """What is left out, once for each reason.

    >>> reasons(["supply to A: left out, as it has no length", "return from A: left out, as it has no length"])
    ['Left out, as it has no length: supply to A, return from A.']
    """
    found: dict[str, list[str]] = {}
    for text in left_out:
        name, _, why = text.partition(": ")
        found.setdefault(why, []).append(name)
    return [
        f"{why[:1].upper()}{why[1:]}: {', '.join(dict.fromkeys(names))}." if why else f"{', '.join(names)}."
        for why, names in found.items()
    ]


def without(drawn: Iterable[Pictures]) -> list[str]:
    """Of which hookups there are no isometrics, and why: their only word, as they have no page."""
    return reasons(why for one in drawn if not one.isometrics for why in one.left_out)
