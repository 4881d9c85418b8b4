"""Solids that stand in one another: closed formulas against points and projections, which know nothing of them."""

from itertools import product
from math import hypot, inf

import pytest
from coilwright.analysis.overlap import Box, Cylinder, between_segments, depth, depth_in_box
from coilwright.model.measured import Point
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

numbers = st.integers(-20, 20).map(lambda n: n / 4)
points = st.tuples(numbers, numbers, numbers)
lengths = st.integers(1, 60).map(lambda n: n / 4)
thorough = settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
radii = st.integers(1, 20).map(lambda n: n / 4)


@st.composite
def straight_ones(draw: st.DrawFn) -> Cylinder:
    """A cylinder along a line of space."""
    start, axis, length = draw(points), draw(st.integers(0, 2)), draw(lengths)
    end = list(start)
    end[axis] += length
    return Cylinder(start, (end[0], end[1], end[2]), draw(radii))


@st.composite
def slanted_ones(draw: st.DrawFn) -> Cylinder:
    start, end = draw(points), draw(points)
    made = Cylinder(start, end, draw(radii))
    assume(made.axis is None)
    return made


def minus(a: Point, b: Point) -> Point:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def plus(a: Point, b: Point, times: float) -> Point:
    return (a[0] + b[0] * times, a[1] + b[1] * times, a[2] + b[2] * times)


def nearest(solid: Cylinder, at: Point) -> Point:
    """The point of a cylinder that is nearest to another point."""
    whole = minus(solid.end, solid.start)
    length = hypot(*whole)
    way = plus((0, 0, 0), whole, 1 / length)
    off = minus(at, solid.start)
    along = sum(a * b for a, b in zip(off, way, strict=True))
    aside = minus(off, plus((0, 0, 0), way, along))
    far = hypot(*aside)
    share = min(1.0, solid.radius / far) if far else 1.0
    return plus(plus(solid.start, way, min(length, max(0.0, along))), aside, share)


def gap(a: Cylinder, b: Cylinder) -> float:
    """How far apart two cylinders are, by going to and fro between their nearest points."""
    at = a.middle
    other = at
    for _ in range(400):
        other = nearest(b, at)
        at = nearest(a, other)
    return hypot(*minus(at, other))


@given(points, points, points, points)
def test_between_segments_is_the_least_distance_of_their_points(p: Point, q: Point, s: Point, t: Point) -> None:
    steps = [n / 24 for n in range(25)]
    tried = min(hypot(*minus(plus(p, minus(q, p), x), plus(s, minus(t, s), y))) for x, y in product(steps, steps))
    found = between_segments(p, q, s, t)
    step = (hypot(*minus(q, p)) + hypot(*minus(t, s))) / 48
    assert tried - step - 1e-9 <= found <= tried + 1e-9


@given(straight_ones(), straight_ones())
@thorough
def test_straight_ones_overlap_where_they_have_points_in_common(a: Cylinder, b: Cylinder) -> None:
    deep = depth(a, b)
    assume(abs(deep) > 0.02)
    assert (gap(a, b) < 0.005) == (deep > 0)
    assert depth(b, a) == pytest.approx(deep)


@given(straight_ones(), straight_ones())
@thorough
def test_moving_one_by_the_depth_parts_them(a: Cylinder, b: Cylinder) -> None:
    deep = depth(a, b)
    assume(deep > 0.02)
    ways: list[Point] = [(1, 0, 0), (0, 1, 0), (0, 0, 1)]
    if a.axis == b.axis and a.axis is not None:
        aside = list(minus(b.middle, a.middle))
        aside[a.axis] = 0.0
        size = hypot(*aside)
        if size:
            ways.append((aside[0] / size, aside[1] / size, aside[2] / size))
    moved = [
        Cylinder(plus(b.start, way, sign * (deep + 0.03)), plus(b.end, way, sign * (deep + 0.03)), b.radius)
        for way in ways
        for sign in (1, -1)
    ]
    assert any(depth(a, other) <= 0 and gap(a, other) > 0 for other in moved)


@given(slanted_ones(), st.one_of(slanted_ones(), straight_ones()))
@thorough
def test_slanted_ones_are_never_found_where_they_are_not(a: Cylinder, b: Cylinder) -> None:
    assume(depth(a, b) > 0.02)
    assert gap(a, b) < 0.02


@given(slanted_ones(), straight_ones())
@thorough
def test_a_slanted_one_is_found_where_its_rod_reaches_deep(a: Cylinder, b: Cylinder) -> None:
    thin = Cylinder(a.start, a.end, 0.01)
    assume(hypot(*minus(a.end, a.start)) > 4 * a.radius)
    assume(
        gap(Cylinder(plus(a.start, minus(a.end, a.start), 0.3), plus(a.start, minus(a.end, a.start), 0.7), 0.01), b)
        < 0.005
    )
    assert thin.axis is None
    assert depth(a, b) > 0


@given(st.one_of(straight_ones(), slanted_ones()), points, lengths, lengths, lengths)
@thorough
def test_a_cylinder_in_a_box_has_points_in_it(solid: Cylinder, low: Point, x: float, y: float, z: float) -> None:
    box = Box(low, (low[0] + x, low[1] + y, low[2] + z))
    deep = depth_in_box(solid, box)
    at = solid.middle
    other = at
    for _ in range(400):
        other = tuple(min(h, max(lo, v)) for lo, h, v in zip(box.low, box.high, at, strict=True))  # type: ignore[assignment]
        at = nearest(solid, other)
    apart = hypot(*minus(at, other))
    if deep > 0.02:
        assert apart < 0.02
    elif deep < -0.02 and solid.axis is not None:
        assert apart > 0


def test_an_open_box_has_no_far_side() -> None:
    box = Box((0, -inf, 0), (10, 4, 10))
    pipe = Cylinder((5, -100, 5), (5, 3, 5), 1)
    assert depth_in_box(pipe, box) == 6
    assert depth_in_box(Cylinder((5, 6, -9), (5, 6, 9), 1.5), box) == -0.5


def test_a_flat_end_reaches_no_further_than_itself() -> None:
    flange = Cylinder((0, 0, 0), (1, 0, 0), 4)
    beside = Cylinder((3, -9, 0), (3, 9, 0), 1.75)
    assert depth(flange, beside) < 0
    assert depth(flange, Cylinder((2.5, -9, 0), (2.5, 9, 0), 1.75)) == 0.25
