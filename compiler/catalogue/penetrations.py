"""Holes and sleeves for pipe with its insulation."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

from ..model.size import SIZES, Size
from .dimensions import steel_pipe
from .limits import limit
from .tables import decimal, table


def hole_for(od: Fraction, insulation_in: Fraction) -> Fraction:
    """The least width of a hole or of a sleeve inside, inches: pipe, insulation and 1/4 in all round. UFGS 15652.

    >>> hole_for(Fraction("3.5"), Fraction(1))
    Fraction(6, 1)
    """
    return od + 2 * insulation_in + 2 * limit("sleeve gap")


def saw_for(width: Fraction) -> tuple[Fraction, str] | None:
    """The next diameter that holes are cut at, and with what; None above the table."""
    return next((found for found in _saws() if found[0] >= width), None)


@cache
def _saws() -> tuple[tuple[Fraction, str], ...]:
    return tuple(sorted((decimal(row["diameter_in"]), row["tool"]) for row in table("hole_saws")))


def sleeve_for(width: Fraction) -> Size | None:
    """The least size of standard steel pipe whose bore is so wide; None above the table. ASME B36.10M."""
    for nps in SIZES:
        pipe = steel_pipe(nps, "STD")
        if pipe is not None and pipe.id >= width:
            return nps
    return None
