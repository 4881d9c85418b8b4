"""Counting: equal things of all units drawn together, with their tags and where they come from."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ..model.hookup import Hookup, with_number
from ..model.span import Origin, Span


@dataclass(slots=True)
class Line:
    """One kind of thing: how many in each typical, the tags of all units, the lines and reasons that made them."""

    each: dict[str, float] = field(default_factory=dict)  # typical -> per unit
    total: float = 0.0
    tags: list[str] = field(default_factory=list)
    spans: dict[Span, None] = field(default_factory=dict)
    reasons: dict[str, None] = field(default_factory=dict)

    def per_unit(self) -> str | float:
        """One number if all typicals agree, else each with its name."""
        values = dict.fromkeys(self.each.values())
        if len(values) == 1:
            return trimmed(next(iter(values)))
        return "; ".join(f"{trimmed(value)} in {name}" for name, value in self.each.items())

    @property
    def origin(self) -> Origin:
        """All the lines behind it."""
        return tuple(self.spans)


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
        name = units_text(hookup)
        line.each[name] = line.each.get(name, 0) + count
        if tag:
            line.tags.extend(with_number(tag, unit.number) for unit in hookup.units)
        line.spans.update(dict.fromkeys(origin))
        if why:
            line.reasons.setdefault(why)


def units_text(hookup: Hookup) -> str:
    """The units of a hookup in few words: `GA-1`, `GA-1, GA-2`, `GA-1 and 38 more`."""
    tags = [unit.tag for unit in hookup.units]
    return ", ".join(tags) if len(tags) <= 2 else f"{tags[0]} and {len(tags) - 1} more"


def trimmed(value: float) -> float:
    """A whole number where it is one; otherwise to the hundredth."""
    return int(value) if value == int(value) else round(value, 2)


def spare(total: float, share: float) -> int:
    """Whole pieces to buy on top: the share of the total, rounded up."""
    return math.ceil(round(total * share, 6))
