"""The three axes of an isometric drawing and how space is laid on the sheet.

ISO 5456-3 (isometric axonometry, from memory): the three axes make 120 degrees with each other and one scale holds on
all of them. We look from the right, from the front and from above: right runs down to the right, toward the reader
down to the left, up stays up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..passes.geometry import unit_vector

#: A place or a way on the sheet, y downward; pixels.
Flat = tuple[float, float]
#: A place or a way in the space of the drawing: right, toward, up.
Space = tuple[float, float, float]

_COS, _SIN = math.sqrt(3) / 2, 0.5
#: The directions of the axes' sign, in the order in which it is drawn.
AXES = ("right", "toward", "up")


def project(at: Sequence[float]) -> Flat:
    """Where a place in space lies on the sheet.

    >>> project((0, 0, 2)), project((0, 2, 0))[1]
    ((0.0, -2.0), 1.0)
    """
    right, toward, up = at
    return ((right - toward) * _COS, (right + toward) * _SIN - up)


def nearness(at: Sequence[float]) -> float:
    """How near a place is to the eye: what is nearer hides what is behind."""
    return sum(at)


def axis(heading: str) -> Space | None:
    """One step in a direction; None if it is none of the six."""
    unit = unit_vector(heading)
    return None if unit is None else (float(unit[0]), float(unit[1]), float(unit[2]))


def across(way: Flat, stem: str = "") -> Flat:
    """The axis on the sheet that a symbol of a pipe stands along: `stem` if it is well apart from the way of the pipe,
    else the first of up, toward and right that is. Symbols then lie in a plane of the drawing, as its pipes do."""
    for heading in (stem, "up", "toward", "right", "away", "left"):
        unit = axis(heading)
        if unit is None:
            continue
        along = project(unit)
        if abs(way[0] * along[1] - way[1] * along[0]) > 0.7:
            return along
    return (-way[1], way[0])


def plus(a: Space, b: Space, times: float = 1.0) -> Space:
    """A place and so many times a way from it."""
    return (a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2])


def shift(at: Flat, way: Flat, by: float) -> Flat:
    """A place so many pixels along a way on the sheet."""
    return (at[0] + way[0] * by, at[1] + way[1] * by)
