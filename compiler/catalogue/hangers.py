"""Which hanger goes round a pipe: its spacing, its rod, and the size of a clevis over insulation."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import NamedTuple

from ..model.declared import SpecRow
from ..model.size import SIZES, Size
from .dimensions import hanger, pipe_wall, steel_pipe


class Support(NamedTuple):
    """What holds one pipe. Inches; None where the tables have nothing.

    `around`: the diameter that the clevis goes round. `clevis`: its nominal size, for copper tube by the tube's own
    size. `shield`: a saddle that keeps the clevis out of the insulation belongs to it.
    """

    spacing: Fraction | None
    rod: Fraction | None
    around: Fraction | None
    clevis: Size | None
    shield: bool


def spacing(row: SpecRow | None, nps: Size) -> Fraction | None:
    """Greatest spacing of level, water-filled pipe as a spec's row buys it, inches. MSS SP-58."""
    found = hanger("copper" if row.metal == "copper" else "steel", nps) if row is not None else None
    return None if found is None else 12 * found.span_ft


def support(row: SpecRow, nps: Size, insulation_in: Fraction | None) -> Support:
    """The clevis hanger of a pipe as a spec's row buys it, over its insulation if it has any.

    Over insulation the clevis is that of the least pipe not thinner than pipe and insulation together (common
    practice, no source); the rod stays that of the pipe, whose weight it carries. MSS SP-58.
    """
    copper = row.metal == "copper"
    found = hanger("copper" if copper else "steel", nps)
    wall = pipe_wall(row, nps)
    around = None if wall is None else wall.od + 2 * (insulation_in or 0)
    clevis: Size | None = nps if wall is not None else None
    if insulation_in and around is not None:
        clevis = _over(around)
    return Support(
        None if found is None else 12 * found.span_ft,
        None if found is None else found.rod,
        around,
        clevis,
        bool(insulation_in),
    )


@cache
def _over(diameter: Fraction) -> Size | None:
    """The least nominal size whose steel pipe is not thinner than a diameter; None above the tables."""
    for nps in SIZES:
        pipe = steel_pipe(nps, "STD")
        if pipe is not None and pipe.od >= diameter:
            return nps
    return None
