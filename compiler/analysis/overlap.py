"""How far two solids stand in one another: cylinders and boxes along the lines of space, rods in any direction. Inches.

Every function gives a depth: above zero they are in the same place, and moving one of them so far parts them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import hypot, sqrt

from ..model.measured import Point

#: A cylinder whose ends lie nearer than this to one line of space runs along it: what pitch does to a valve or flange
#: is less than a tape reads.
_STRAIGHT = 1 / 8
#: Rounds of the search for the least of a convex function on a segment; each leaves two thirds of it.
_ROUNDS = 24


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder with flat ends. `axis`: the line of space it runs along, None where it runs along none of them."""

    start: Point
    end: Point
    radius: float
    axis: int | None = field(init=False)

    def __post_init__(self) -> None:
        off = [abs(a - b) for a, b in zip(self.start, self.end, strict=True)]
        main = off.index(max(off))
        straight = all(d <= _STRAIGHT for axis, d in enumerate(off) if axis != main)
        object.__setattr__(self, "axis", main if straight else None)

    @property
    def middle(self) -> Point:
        """Half way between its ends."""
        (a, b, c), (d, e, f) = self.start, self.end
        return ((a + d) / 2, (b + e) / 2, (c + f) / 2)

    @property
    def bounds(self) -> tuple[Point, Point]:
        """The corners of a box around it, which touches it where it runs along a line of space."""
        low, high = [], []
        for axis, (a, b) in enumerate(zip(self.start, self.end, strict=True)):
            aside = 0 if axis == self.axis else self.radius
            low.append(min(a, b) - aside)
            high.append(max(a, b) + aside)
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    def along(self, axis: int) -> tuple[float, float]:
        """From where to where its middle line reaches along a line of space, the lower first."""
        a, b = self.start[axis], self.end[axis]
        return (a, b) if a <= b else (b, a)


@dataclass(frozen=True, slots=True)
class Box:
    """A box along the lines of space, between two corners; a side at infinity is open."""

    low: Point
    high: Point


def depth(a: Cylinder, b: Cylinder) -> float:
    """How far two cylinders stand in one another.

    Exact where both run along lines of space. One that runs along none counts as the rod with round ends inside it, so
    that what is found is there; at its ends something may be missed.
    """
    if a.axis is None and b.axis is None:
        p, q, r = _rod(a)
        s, t, u = _rod(b)
        return r + u - between_segments(p, q, s, t)
    if a.axis is None or b.axis is None:
        rod, whole = (a, b) if a.axis is None else (b, a)
        p, q, r = _rod(rod)
        apart = between_segments(p, q, whole.start, whole.end) - r - whole.radius
        return -apart if apart >= 0 else r - _least(p, q, lambda at: _beyond(whole, at))
    if a.axis == b.axis:
        return _side_by_side(a, b, a.axis)
    return _crossing(a, b, a.axis, b.axis)


def _side_by_side(a: Cylinder, b: Cylinder, axis: int) -> float:
    """Both run along one line of space: their ends have to overlap, and their circles."""
    (low, high), (other_low, other_high) = a.along(axis), b.along(axis)
    apart = [a.middle[n] - b.middle[n] for n in range(3) if n != axis]
    return min(high - other_low, other_high - low, a.radius + b.radius - hypot(*apart))


def _crossing(a: Cylinder, b: Cylinder, axis: int, other: int) -> float:
    """They run square to one another: parted along the third line of space, or by drawing one back from the other.

    Along the third line a cylinder reaches its radius aside where the middle line of the other lies between its ends;
    where that lies beyond an end by d, and so the other comes no nearer than d, as far as the chord there.
    """
    third = 3 - axis - other
    in_b, in_a = _inside(a.middle[other], b.along(other)), _inside(b.middle[axis], a.along(axis))
    if min(a.radius + in_b, b.radius + in_a) < 0:
        return min(a.radius + in_b, b.radius + in_a)
    reach_a, reach_b = _chord(a.radius, in_b), _chord(b.radius, in_a)
    apart = abs(a.middle[third] - b.middle[third])
    aside = reach_a + reach_b - apart
    if aside <= 0:
        return aside
    back_a = sqrt(b.radius**2 - max(0.0, apart - reach_a) ** 2) + in_a
    back_b = sqrt(a.radius**2 - max(0.0, apart - reach_b) ** 2) + in_b
    return min(aside, back_a, back_b)


def _inside(value: float, within: tuple[float, float]) -> float:
    """How far from the nearer end of a stretch; below zero beyond it."""
    return min(value - within[0], within[1] - value)


def _chord(radius: float, inside: float) -> float:
    """Half a chord of a circle, as far from its middle as a stretch falls short of that."""
    return sqrt(radius**2 - max(0.0, -inside) ** 2)


def _rod(solid: Cylinder) -> tuple[Point, Point, float]:
    """The rod with round ends that lies inside a cylinder: the ends of its middle line, and its radius."""
    (a, b, c), (d, e, f) = solid.start, solid.end
    length = hypot(d - a, e - b, f - c)
    radius = min(solid.radius, length / 2)
    share = radius / length if length else 0.0
    return (
        (a + (d - a) * share, b + (e - b) * share, c + (f - c) * share),
        (d - (d - a) * share, e - (e - b) * share, f - (f - c) * share),
        radius,
    )


def _beyond(solid: Cylinder, at: Point) -> float:
    """How far a point lies outside of a cylinder along a line of space; below zero, how deep inside."""
    axis = solid.axis or 0
    low, high = solid.along(axis)
    ahead = max(low - at[axis], at[axis] - high)
    aside = hypot(*(at[n] - solid.middle[n] for n in range(3) if n != axis)) - solid.radius
    return hypot(ahead, aside) if ahead > 0 and aside > 0 else max(ahead, aside)


def _least(p: Point, q: Point, of: Callable[[Point], float]) -> float:
    """The least value of a convex function on a segment."""

    def at(share: float) -> float:
        return of((p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share, p[2] + (q[2] - p[2]) * share))

    low, high = 0.0, 1.0
    for _ in range(_ROUNDS):
        third = (high - low) / 3
        if at(low + third) <= at(high - third):
            high -= third
        else:
            low += third
    return min(at(0.0), at(1.0), at((low + high) / 2))


def between_segments(p: Point, q: Point, s: Point, t: Point) -> float:
    """The distance between two segments, p to q and s to t.

    The point of each line that is nearest to the other line, held to its segment; then the nearest on the other to
    that one, and back once more.

    >>> between_segments((0, 0, 0), (4, 0, 0), (2, -3, 5), (2, 3, 5))
    5.0
    """
    d, e, r = _minus(q, p), _minus(t, s), _minus(p, s)
    dd, ee, de, dr, er = _dot(d, d), _dot(e, e), _dot(d, e), _dot(d, r), _dot(e, r)
    if not dd:
        x, y = 0.0, _held(er / ee) if ee else 0.0
    elif not ee:
        x, y = _held(-dr / dd), 0.0
    else:
        square = dd * ee - de * de
        x = _held((de * er - dr * ee) / square) if square > 1e-12 * dd * ee else 0.0
        y = (de * x + er) / ee
        if not 0 <= y <= 1:
            y = _held(y)
            x = _held((de * y - dr) / dd)
    return hypot(*(r[n] + d[n] * x - e[n] * y for n in range(3)))


def _minus(a: Point, b: Point) -> Point:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _held(share: float) -> float:
    return min(1.0, max(0.0, share))


def depth_in_box(solid: Cylinder, box: Box) -> float:
    """How far a cylinder stands in a box, by the nearest way out; exact where it runs along a line of space."""
    if solid.axis is None:
        p, q, radius = _rod(solid)
        return radius - _least(p, q, lambda at: _beyond_box(box, at))
    low, high = solid.along(solid.axis)
    ahead = min(high - box.low[solid.axis], box.high[solid.axis] - low)
    aside = [max(box.low[n] - solid.middle[n], solid.middle[n] - box.high[n]) for n in range(3) if n != solid.axis]
    off = hypot(*aside) if min(aside) > 0 else max(aside)
    return min(ahead, solid.radius - off)


def _beyond_box(box: Box, at: Point) -> float:
    beyond = [max(box.low[n] - at[n], at[n] - box.high[n]) for n in range(3)]
    outside = [b for b in beyond if b > 0]
    return hypot(*outside) if outside else max(beyond)
