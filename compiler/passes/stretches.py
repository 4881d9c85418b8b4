"""Where the parts of a straight lie in space."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from ..model.measured import Layout, Mark, Measured, Part, Point, Straight, Stretch, Vector
from .geometry import unit_vector

#: Frames of `Laid`: from the first mark of the straight, from its last; any other is of its own.
NEAR, FAR = 0, 1


class Laid(NamedTuple):
    """One part in space: its number, itself, and its two ends in the order of the straight."""

    number: int
    part: Part
    start: Point
    end: Point
    frame: int  # NEAR, FAR, or another number for each group of parts between two unknown lengths


def laid(straight: Straight, marks: Mapping[Mark, Vector]) -> Iterator[Laid]:
    """The parts of a straight whose lengths are known, in order: placed from either mark as far as they reach.

    Parts between two unknown lengths hold together in a frame of their own. Pitch is in it.
    """
    way = direction(straight)
    if way is None:
        return
    parts = straight.parts
    lengths = [float(part.length) if isinstance(part.length, Fraction) else None for part in parts]
    bounds = [-1, *(number for number, length in enumerate(lengths) if length is None), len(parts)]
    for group, (before, behind) in enumerate(pairwise(bounds)):
        frame = NEAR if before == -1 else FAR if behind == len(parts) else FAR + group
        at = point(marks[straight.a]) if frame == NEAR else (0.0, 0.0, 0.0)
        if frame == FAR:
            at = ahead(point(marks[straight.b]), way, -sum(filter(None, lengths[before + 1 :])))
        for number in range(before + 1, behind):
            end = ahead(at, way, lengths[number] or 0.0)
            yield Laid(number, parts[number], at, end, frame)
            at = end


def layout(measured: Measured) -> Layout:
    """Where all pieces are, and where what stands at the marks ends; worked out when first asked for."""
    if measured.layout is None:
        measured.layout = Layout()
        for straight in measured.straights:
            _lay(straight, measured.marks, measured.layout)
    return measured.layout


def _lay(straight: Straight, marks: Mapping[Mark, Vector], made: Layout) -> None:
    last = len(straight.parts) - 1
    for one in laid(straight, marks):
        if one.frame > FAR:
            continue
        if one.number == 0:
            made.faces[straight.a[0], straight.port_a] = one.end
        elif one.number == last:
            made.faces[straight.b[0], straight.port_b] = one.start
        elif one.part.id:
            made.stretches[one.part.id] = Stretch(one.start, one.end)


def direction(straight: Straight) -> Point | None:
    """One inch along a straight; with its pitch where its length is known. None if nothing says which way it runs."""
    if straight.vector is not None and any(straight.vector):
        x, y, z = point(straight.vector)
        size = hypot(x, y, z)
        return (x / size, y / size, z / size)
    unit = unit_vector(straight.heading)
    return None if unit is None else (float(unit[0]), float(unit[1]), float(unit[2]))


def point(vector: Vector) -> Point:
    """A place for what needs no exact sum."""
    return (float(vector[0]), float(vector[1]), float(vector[2]))


def ahead(at: Point, way: Point, length: float) -> Point:
    """So far from a point in a direction."""
    return (at[0] + way[0] * length, at[1] + way[1] * length, at[2] + way[2] * length)
