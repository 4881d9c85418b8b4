"""Electric heat trace: what insulated pipe loses, the cable that makes it good, and the extra at valves and flanges."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache

from .tables import decimal, table

#: Watts in a Btu an hour, of the international table.
_WATTS = 0.29307107


def heat_loss(od: Fraction, thickness: Fraction, k: float, difference_f: float) -> float:
    """Watts a foot that pipe of an outside diameter loses through insulation, both in inches, by conduction alone.

    `k` in Btu in/(h ft2 F). The cylinder of ASTM C680: 2 pi k dT / ln(D2 / D1); what the surface and wind let through
    less is left out, which is on the safe side. Raises ValueError for pipe without insulation.

    >>> round(heat_loss(Fraction("4.5"), Fraction(1, 2), 0.25, 50), 1)
    9.6
    """
    if od <= 0 or thickness <= 0:
        raise ValueError("bare pipe does not lose its heat by conduction through insulation")
    across = math.log(float((od + 2 * thickness) / od))
    return 2 * math.pi * k / 12 * difference_f / across * _WATTS


def cable(watts_per_foot: float) -> tuple[int, Fraction]:
    """Runs of cable side by side, and the rating of each in W/ft: the least that give at least so much heat.

    >>> cable(3.6), cable(11.5)
    ((1, Fraction(5, 1)), (2, Fraction(8, 1)))
    """
    runs = max(1, math.ceil(watts_per_foot / float(_ratings()[-1])))
    return runs, next(rating for rating in _ratings() if runs * rating >= watts_per_foot)


@cache
def _ratings() -> tuple[Fraction, ...]:
    return tuple(sorted(decimal(row["value"]) for row in table("heat_trace") if row["of"] == "rating"))


def figure(what: str) -> Fraction:
    """`held` (degrees F), `margin` (a factor), `support` (ft) or `turns` of the table. KeyError for another."""
    return _of("figure")[what]


def at_valve(kind: str) -> Fraction | None:
    """Feet of its own pipe that a valve of a kind loses heat like; None where no table tells."""
    return _of("valve").get(kind)


@cache
def _of(of: str) -> dict[str, Fraction]:
    return {row["what"]: decimal(row["value"]) for row in table("heat_trace") if row["of"] == of}


@cache
def conductivities() -> dict[str, float]:
    """Of each insulation by name, at a mean of 50 F: Btu in/(h ft2 F)."""
    return {row["material"]: float(decimal(row["k_50f"])) for row in table("insulation_k")}
