"""What differs between two jobs: their units side by side, and what differs alike in many of them said once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ..model.hookup import Hookup, UnitRef, with_number
from ..model.span import Span
from ..model.table import Column, Row, Table, Value
from ..takeoff.tally import in_order
from .changes import Change, changes
from .shape import Shape, Tags, shape

#: A unit with the hookup that it is built to.
Unit = tuple[UnitRef, Hookup]

_COLUMNS = (
    Column("change", "Change"),
    Column("line", "Line"),
    Column("thing", "Of"),
    Column("about", "What"),
    Column("size_before", "Size was"),
    Column("size_after", "Size now"),
    Column("before", "Before"),
    Column("after", "After"),
    Column("place", "Place"),
    Column("count", "Units", align="right"),
    Column("units", "In"),
)


def differences(old: Sequence[Hookup], new: Sequence[Hookup]) -> Table:
    """What was added, removed, resized, moved, retagged or changed, in which units.

    Units are held against each other by tag. No rows: the two say the same.
    """
    merged: dict[Change, tuple[list[str], dict[Span, None]]] = {}
    for tag, change in _each(old, new):
        tags, origin = merged.setdefault(replace(change, origin=()), ([], {}))
        if tag not in tags[-1:]:
            tags.append(tag)
        origin.update(dict.fromkeys(change.origin))
    rows = [
        Row(
            {
                "change": change.sort,
                "line": change.line,
                "thing": change.thing,
                "about": change.about,
                **_before_and_after(change),
                "place": change.place,
                "count": len(tags),
                "units": in_order(tags),
            },
            tuple(origin),
            "held against the old file by what it says, not by its text",
        )
        for change, (tags, origin) in merged.items()
    ]
    return Table("changes", "What has changed", _COLUMNS, tuple(rows), _notes(rows))


def _notes(rows: Sequence[Row]) -> tuple[str, ...]:
    if not rows:
        return ("Nothing differs in what the files say of their units.",)
    return (
        "Seen as for air from left to right. A star in a tag stands for the unit's number.",
        "Lengths are compared to the 64th of an inch.",
    )


def _before_and_after(change: Change) -> dict[str, Value]:
    """Sizes have columns of their own, which are DN in a metric list."""
    lead = "size_" if change.sort == "resized" else ""
    return {f"{lead}before": change.before, f"{lead}after": change.after}


def _each(old: Sequence[Hookup], new: Sequence[Hookup]) -> Iterator[tuple[str, Change]]:
    before, after = _by_tag(old), _by_tag(new)
    known = _Known()
    renamed = _renamed(before, after, known)
    for tag, (unit, _) in before.items():
        if tag not in after and tag not in renamed:
            yield tag, Change("removed", "", "unit", "", "", "", "", (unit.span,))
    for tag, (unit, _) in after.items():
        if tag not in before and tag not in renamed.values():
            yield tag, Change("added", "", "unit", "", "", "", "", (unit.span,))
    for tag, there in renamed.items():
        yield there, Change("retagged", "", "unit", "", tag, there, "", (after[there][0].span, before[tag][0].span))
    for tag, one in before.items():
        other = after.get(renamed.get(tag, tag))
        if other is None:
            continue
        unit, now = one[0], other[0]
        if unit.number != now.number and tag == now.tag:
            yield now.tag, Change("changed", "", "unit", "number", unit.number, now.number, "", (now.span, unit.span))
        for change in known.changes(one, other):
            yield now.tag, change


def _by_tag(hookups: Iterable[Hookup]) -> dict[str, Unit]:
    """Units by tag in the order of the files. A typical that nobody builds counts as the unit of its own name."""
    units = [(unit, hookup) for hookup in hookups for unit in hookup.units]
    return {unit.tag: (unit, hookup) for unit, hookup in sorted(units, key=lambda u: u[0].span)}


def starred(hookup: Hookup) -> bool:
    """Whether its tags leave room for the number of the unit."""
    return any("*" in component.tag for component in hookup.components())


class _Known:
    """What hookups say and how they differ, each worked out once."""

    def __init__(self) -> None:
        self._shapes: dict[tuple[int, str], Shape] = {}
        self._changes: dict[object, list[Change]] = {}

    def changes(self, old: Unit, new: Unit) -> list[Change]:
        """How two units differ. Tags are held against each other as the files write them, stars and all, unless only
        one of the files writes stars: then as they are for these units.
        """
        (unit, hookup), (other, built) = old, new
        by_number = starred(hookup) != starred(built)
        numbers = (unit.number, other.number) if by_number else ("*", "*")
        key = (id(hookup), id(built), numbers)
        if key not in self._changes:
            self._changes[key] = changes(self._shape(hookup, numbers[0]), self._shape(built, numbers[1]))
        return self._changes[key]

    def _shape(self, hookup: Hookup, number: str) -> Shape:
        key = (id(hookup), number)
        if key not in self._shapes:
            self._shapes[key] = shape(hookup, _numbered(number))
        return self._shapes[key]


def _numbered(number: str) -> Tags:
    return lambda tag: with_number(tag, number)


def _renamed(before: dict[str, Unit], after: dict[str, Unit], known: _Known) -> dict[str, str]:
    """Old tags of units to new ones, where a unit that is gone and one that is there now are built alike."""
    made: dict[str, str] = {}
    waiting = [tag for tag in after if tag not in before]
    for tag, unit in before.items():
        if tag not in after:
            other = next((other for other in waiting if not known.changes(unit, after[other])), None)
            if other is not None:
                made[tag] = other
                waiting.remove(other)
    return made
