"""Glycol: freezing point by strength, and strength by volume and by mass."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

from .tables import decimal, table

#: Specific gravity of pure glycol at 60 F. Glycol glossary of expertctr.com, as docs/sources.md says.
_GRAVITY = {"ethylene": 1.1155, "propylene": 1.038}


@cache
def _points(glycol: str) -> tuple[tuple[float, float], ...]:
    """(percent by volume, freezing point in F) of one glycol, weakest first."""
    rows = [row for row in table("glycol") if row["glycol"] == glycol]
    return tuple((float(decimal(row["percent_volume"])), float(decimal(row["freeze_f"]))) for row in rows)


def by_volume(fluid: str, share_by_mass: float) -> float:
    """The share by volume of a mixture whose share by mass is given, both 0 to 1, by ideal mixing.

    >>> round(by_volume("ethylene glycol", 0.30), 3)
    0.278
    """
    gravity = _GRAVITY[fluid.split()[0]]
    return share_by_mass / (gravity * (1 - share_by_mass) + share_by_mass)


def freezing_point(fluid: str, share: float, basis: str) -> float | None:
    """Where the first ice forms in `propylene glycol` or `ethylene glycol`, F. `share` 0 to 1, `basis` volume or mass.

    On a straight line between two rows of the table; None for another fluid, and where the mixture is stronger than
    the table goes.

    >>> freezing_point("propylene glycol", 0.30, "volume")
    8.4
    """
    glycol = fluid.split()[0]
    if glycol not in _GRAVITY:
        return None
    percent = 100 * (by_volume(fluid, share) if basis == "mass" else share)
    points = _points(glycol)
    for (weak, warm), (strong, cold) in pairwise(points):
        if weak <= percent <= strong:
            return warm + (cold - warm) * (percent - weak) / (strong - weak)
    return None
