"""Glycol: freezing point and density by strength, and strength by volume and by mass."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import NamedTuple

from ..model.declared import Service
from .tables import decimal, table

#: Specific gravity of pure glycol at 60 F. Glycol glossary of expertctr.com, as docs/sources.md says.
_GRAVITY = {"ethylene": 1.1155, "propylene": 1.038}
#: Water at 60 F by its densest: those specific gravities are by the one, ours at 40 F by the other. Kell 1975.
_WATER_AT_60 = 0.99904


class Parts(NamedTuple):
    """What a gallon of a liquid is mixed from, gallons at 60 F: neat glycol and water."""

    glycol: float
    water: float


@cache
def _points(glycol: str, name: str = "glycol", column: str = "freeze_f") -> tuple[tuple[float, float], ...]:
    """(percent by volume, freezing point in F or another column of a table) of one glycol, weakest first."""
    rows = [row for row in table(name) if row["glycol"] == glycol]
    return tuple((float(decimal(row["percent_volume"])), float(decimal(row[column]))) for row in rows)


def _between(points: tuple[tuple[float, float], ...], percent: float) -> float | None:
    """The value on a straight line between two points; None beyond them."""
    for (weak, first), (strong, second) in pairwise(points):
        if weak <= percent <= strong:
            return first + (second - first) * (percent - weak) / (strong - weak)
    return None


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
    return _between(_points(glycol), percent)


def specific_gravity(service: Service) -> float | None:
    """How many times as heavy as water at its densest what a service carries is, cold: at 40 F.

    A share whose basis is not said is taken by volume. None for steam, for an unknown fluid, for a glycol without its
    share, and beyond the table.
    """
    if service.fluid == "water":
        return 1.0
    glycol = service.fluid.split()[0] if service.fluid else ""
    if glycol not in _GRAVITY or service.share is None:
        return None
    percent = 100 * (by_volume(service.fluid, service.share) if service.basis == "mass" else service.share)
    found = _between(_points(glycol, "glycol_density", "kg_per_m3"), percent)
    return None if found is None else found / 1000


def mixed_from(service: Service) -> Parts | None:
    """Neat glycol and water, measured at 60 F, that together fill one gallon at 40 F.

    By mass: they are a little more than a gallon, since they shrink in mixing and in the cold. A share whose basis is
    not said is taken by volume. None where `specific_gravity` is not known.
    """
    gravity = specific_gravity(service)
    if gravity is None:
        return None
    if service.fluid == "water":
        return Parts(0.0, 1 / _WATER_AT_60)
    own, share = _GRAVITY[service.fluid.split()[0]], service.share or 0.0
    by_mass = share if service.basis == "mass" else share * own / (share * own + 1 - share)
    return Parts(gravity * by_mass / (own * _WATER_AT_60), gravity * (1 - by_mass) / _WATER_AT_60)
