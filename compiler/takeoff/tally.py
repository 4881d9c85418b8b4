"""Counting: equal things of all units drawn together, with their tags and where they come from."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from operator import attrgetter
from typing import NamedTuple

from ..model.hookup import Hookup, UnitRef, with_number
from ..model.rounded import PerUnit, Rounded
from ..model.span import Origin, Span

_PLACE = attrgetter("span")


@dataclass(slots=True)
class Line:
    """One kind of thing: how many in each typical, the tags of all units, the lines and reasons that made them."""

    each: dict[int, float] = field(default_factory=dict)  # id of the hookup -> per unit
    units: dict[int, Sequence[UnitRef]] = field(default_factory=dict)
    total: float = 0.0
    tags: list[str] = field(default_factory=list)
    spans: dict[Span, None] = field(default_factory=dict)
    reasons: dict[str, None] = field(default_factory=dict)

    def per_unit(self, hookups: int) -> str | float:
        """One number if all hookups agree, else the number of each (`AHU-1: 0.5`); `hookups` is how many there are."""
        values = set(self.each.values())
        if len(values) == 1 and len(self.each) == hookups:
            return trimmed(next(iter(values)))
        named: dict[float, list[UnitRef]] = {}
        for index, value in self.each.items():
            named.setdefault(value, []).extend(self.units[index])
        return PerUnit("; ".join(f"{units_text(units)}: {trimmed(value)}" for value, units in named.items()), named)

    @property
    def origin(self) -> Origin:
        """All the lines behind it."""
        return tuple(self.spans)


class Counted(NamedTuple):
    """Something that every unit of a hookup has so many of, and the line of the hookup it is on, empty if on none."""

    key: tuple[str, ...]
    hookup: Hookup
    number: float
    tag: str
    origin: Origin
    why: str
    line: str


class Tally:
    """Lines by key, in the order they were first met."""

    def __init__(self) -> None:
        self.lines: dict[tuple[str, ...], Line] = {}

    def add(
        self, key: tuple[str, ...], hookup: Hookup, count: float, tag: str = "", origin: Origin = (), why: str = ""
    ) -> None:
        """Count something that every unit of a hookup has. A tag is written out for each of the units."""
        line = self.lines.setdefault(key, Line())
        line.total += count * len(hookup.units)
        line.each[id(hookup)] = line.each.get(id(hookup), 0) + count
        line.units[id(hookup)] = hookup.units
        if tag:
            line.tags.extend(with_number(tag, unit.number) for unit in hookup.units)
        line.spans.update(dict.fromkeys(origin))
        if why:
            line.reasons.setdefault(why)

    def take(self, one: Counted) -> None:
        """Count it in."""
        self.add(one.key, one.hookup, one.number, one.tag, one.origin, one.why)


def units_text(units: Sequence[UnitRef]) -> str:
    """Some units in few words, in the order of the file: `GA-1`, `GA-1, GA-2`, `GA-1 and 38 more`."""
    if len(units) > 2:
        return f"{min(units, key=_PLACE).tag} and {len(units) - 1} more"
    return ", ".join(unit.tag for unit in sorted(units, key=_PLACE))


def in_order(tags: Sequence[str]) -> tuple[str, ...]:
    """Tags by name and number: `BV-2` before `BV-10`."""
    return tuple(sorted(tags, key=lambda tag: [int(p) if p.isdigit() else p for p in re.split(r"(\d+)", tag)]))


def trimmed(value: float) -> float:
    """A whole number where it is one; otherwise to the hundredth."""
    return int(value) if value == int(value) else Rounded(value, 2)


def spare(total: float, share: float) -> int:
    """Whole pieces to buy on top: the share of the total, rounded up."""
    return math.ceil(round(total * share, 6))
