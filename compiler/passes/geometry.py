"""Directions and straights as vectors: right, toward, up; inches."""

from __future__ import annotations

from fractions import Fraction

from ..model.hookup import AXIS
from ..model.measured import Straight, Vector


def unit_vector(heading: str) -> tuple[int, int, int] | None:
    """One inch in a direction, as (right, toward, up); None if it is none of the six."""
    if heading not in AXIS:
        return None
    made = [0, 0, 0]
    made[AXIS[heading]] = 1 if heading in ("right", "toward", "up") else -1
    return (made[0], made[1], made[2])


def vector_of(straight: Straight) -> Vector | None:
    """From one mark of a straight to the other; None where the length or the direction is not known."""
    unit = unit_vector(straight.heading)
    if unit is None or not isinstance(straight.centres, Fraction):
        return None
    right, toward, up = (straight.centres * part for part in unit)
    if unit[2] == 0:
        up += straight.centres * straight.pitch / 12 + straight.rise
    return (right, toward, up)
