"""Where the components of a measured hookup are, and the room they take: boxes and centres, inches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from itertools import count

from ..catalogue.dimensions import outside
from ..catalogue.flanges import flange
from ..model.hookup import Component, Hookup
from ..model.measured import Mark, Measured, Point, Stretch
from ..passes.stretches import FAR, NEAR, ahead, laid, layout, point

#: Half of what an elbow turns through, by kind.
_HALF_TURN = {"elbow": math.pi / 4, "45 elbow": math.pi / 8}


@dataclass(frozen=True, slots=True)
class Box:
    """A box square to the three directions."""

    low: Point
    high: Point

    @property
    def sides(self) -> Point:
        """Along right, toward and up."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1], self.high[2] - self.low[2])

    def with_(self, other: Box) -> Box:
        """The box round both."""
        a, b, c, d = self.low, other.low, self.high, other.high
        return Box(
            (min(a[0], b[0]), min(a[1], b[1]), min(a[2], b[2])), (max(c[0], d[0]), max(c[1], d[1]), max(c[2], d[2]))
        )


@dataclass(frozen=True, slots=True)
class Body:
    """One component in the frame of its island. `start` is where the flow comes in, `centre` its centre of gravity.

    A valve takes the room of its pipe from face to face: handles and actuators are not counted, nor is insulation.
    """

    island: int
    start: Point
    centre: Point
    box: Box


def bodies(hookup: Hookup) -> dict[str, Body]:
    """The body of every component whose place is known, coils and mains apart."""
    measured = hookup.measured
    made: dict[str, Body] = {}
    if measured is None:
        return made
    for (id, port), at in measured.marks.items():
        if not port:
            made[id] = _at_mark(hookup.component(id), at, measured)
    islands = count(1 + max(measured.islands.values(), default=0))
    for straight in measured.straights:
        known = {NEAR: measured.islands[straight.a], FAR: measured.islands[straight.b]}
        for _, part, start, end, frame in laid(straight, measured.marks):
            island = known[frame] if frame in known else known.setdefault(frame, next(islands))
            if part.sort == "take-out" or not part.id:
                continue
            component = hookup.component(part.id)
            radius = _radius(component)
            box = _disc(start, end, radius).with_(_disc(end, start, radius))
            made[part.id] = Body(island, start, Stretch(start, end).middle, box)
    return made


def _at_mark(component: Component, at: tuple[Fraction, Fraction, Fraction], measured: Measured) -> Body:
    mark, ports = point(at), component.ends
    key: Mark = (component.id, "")
    known = layout(measured).faces
    faces = {port: known[component.id, port] for port in ports if (component.id, port) in known}
    box = Box(mark, mark)
    for port, face in faces.items():
        box = box.with_(_disc(face, mark, _end_radius(component, port)))
    return Body(measured.islands[key], faces.get("in", mark), _centre(component, mark, faces), box)


def _centre(component: Component, mark: Point, faces: dict[str, Point]) -> Point:
    """Half way from face to face; of an elbow, the centre of gravity of its arc; at the mark where a face is missing.

    The centre of gravity of an arc of radius R and half angle a lies R sin(a) / a from the centre of the bend, its
    chord R cos(a), its corner R / cos(a).
    """
    if "in" not in faces or "out" not in faces or component.kind.ports == "tee":
        return mark
    (a, b, c), (d, e, f) = faces["in"], faces["out"]
    chord = ((a + d) / 2, (b + e) / 2, (c + f) / 2)
    half = _HALF_TURN.get(component.kind.name)
    if half is None:
        return chord
    share = (math.sin(half) / half - math.cos(half)) / (1 / math.cos(half) - math.cos(half))
    return ahead(chord, (mark[0] - chord[0], mark[1] - chord[1], mark[2] - chord[2]), share)


def _disc(at: Point, other: Point, radius: float) -> Box:
    """The box round a disc at `at` that stands square to the way to `other`; a point if they are one."""
    size = math.dist(at, other)
    if size == 0:
        return Box(at, at)
    reach = [radius * math.sqrt(max(0.0, 1 - ((b - a) / size) ** 2)) for a, b in zip(at, other, strict=True)]
    return Box(
        (at[0] - reach[0], at[1] - reach[1], at[2] - reach[2]), (at[0] + reach[0], at[1] + reach[1], at[2] + reach[2])
    )


def _radius(component: Component) -> float:
    return max((_end_radius(component, port) for port in component.ends), default=0.0)


def _end_radius(component: Component, port: str) -> float:
    """Half of the outside diameter at an end: that of its flange, else of its pipe; half its nominal size at worst."""
    end = component.ends[port]
    if end.form == "flange":
        dims = flange(end.size, end.rating, end.facing, end.metal)
        if dims is not None:
            return float(dims.od) / 2
    return float(outside(end.size, end.metal) or end.size.inches) / 2
