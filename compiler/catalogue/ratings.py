"""What parts bear: greatest working pressures by standard, class, size and temperature.

Every look-up returns None where the tables have nothing (`not in the tables`).
"""

from __future__ import annotations

from functools import cache

from ..model.size import Size, size
from .tables import Row, table


@cache
def _rows(standard: str, rating: str) -> tuple[Row, ...]:
    return tuple(row for row in table("ratings") if (row["standard"], row["class"]) == (standard, rating))


@cache
def pressure_rating(standard: str, rating: str, deg_f: float, nps: Size | None = None) -> int | None:
    """Greatest working pressure in psi gauge at a temperature: the value of the next tabulated temperature up.

    None above the table and below -20 F, and where the standard rates by size and none is given. Sources, mostly
    memory: the header of `tables/ratings.csv`.

    >>> pressure_rating("ASME B16.3", "150", 100), pressure_rating("ASME B16.3", "300", 100, size("2"))
    (300, 1500)
    >>> [pressure_rating("solder joint", alloy, 100, size("1")) for alloy in ("95-5", "50-50", "alloy E", "silver")]
    [1090, 200, 710, None]
    """
    if deg_f < -20:
        return None
    fits = [
        (int(row["to_f"]), int(row["psi"]))
        for row in _rows(standard, rating)
        if deg_f <= int(row["to_f"]) and (not row["from"] or (nps is not None and _covers(row, nps)))
    ]
    return min(fits)[1] if fits else None


@cache
def rating_bound(standard: str, rating: str, deg_f: float, nps: Size | None = None) -> int | None:
    """What is borne at most: the rating, and above the table that of its hottest line, since heat only lowers it.

    >>> pressure_rating("ASME B16.24", "150", 400), rating_bound("ASME B16.24", "150", 400)
    (None, 225)
    """
    hottest = max((int(row["to_f"]) for row in _rows(standard, rating)), default=None)
    return None if hottest is None else pressure_rating(standard, rating, min(deg_f, hottest), nps)


def _covers(row: Row, nps: Size) -> bool:
    return size(row["from"]) <= nps <= size(row["to"])


def fitting_bound(standard: str, made_of: str, nps: Size, deg_f: float) -> int | None:
    """What a threaded or soldered fitting bears at most (as `rating_bound` says it), by its standard and the words of
    its material.

    Wrought and cast copper fittings are rated as annealed type L tube; others by the class that their material names.

    >>> fitting_bound("ASME B16.3", "malleable iron class 150", size("2"), 100)
    300
    >>> fitting_bound("ASME B16.22", "wrought copper", size("2"), 100)
    364
    """
    return rating_bound(standard, _class_of(standard, made_of), deg_f, nps)


def _class_of(standard: str, made_of: str) -> str:
    """The class under which the table rates a fitting; empty where its material names none."""
    return "L annealed" if standard == "ASME B16.22" else made_of.partition(" class ")[2]
