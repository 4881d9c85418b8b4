"""The pieces of a measured hookup as solids: cylinders where their places and dimensions are known, and nothing else.

What has no dimension in the tables, and what hangs in a direction that the file does not say, is left out: a clash
that is found is one of the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from math import hypot

from ..catalogue.dimensions import outside
from ..catalogue.flanges import flange
from ..model.ends import End
from ..model.hookup import Component, Hookup
from ..model.measured import Mark, Measured, Part, Point, Straight
from ..passes.geometry import unit_vector
from ..passes.stretches import FAR, NEAR, ahead, laid, point
from .overlap import Cylinder

#: The cosine of half the angle that an elbow turns by decides how far its arc runs inside the corner of its centre
#: lines: the middle of the arc lies there, as a share of the sum of the ways from the corner to both faces.
_ARC_90, _ARC_45 = 1 - 0.5**0.5, 0.5 / (1 + 0.5 * (2 + 2**0.5) ** 0.5)


@dataclass(slots=True)
class Solid:
    """One piece of a component. `jacket`: thickness of its insulation, inches."""

    component: Component
    shape: Cylinder
    island: int
    straights: frozenset[int]  # numbers of the straights that it lies on or ends
    jacket: float = 0.0
    what: str = ""  # `stem`, `handwheel`; empty: the component itself

    @property
    def dressed(self) -> Cylinder:
        """With its insulation on."""
        if not self.jacket:
            return self.shape
        return Cylinder(self.shape.start, self.shape.end, self.shape.radius + self.jacket)


@dataclass(slots=True)
class Solids:
    """All of a hookup.

    `lengths`: how far it is through a component along its line, from the end of one neighbour to that of the other,
    inches; 0 where not known. `beside`: the straights that
    end where a straight ends, and itself.
    """

    all: list[Solid] = field(default_factory=list)
    lengths: dict[str, float] = field(default_factory=dict)
    beside: dict[int, set[int]] = field(default_factory=dict)


def solids_of(hookup: Hookup, measured: Measured) -> Solids:
    """The solids of a measured hookup.

    Pipe and fittings are as thick as the outside of their pipe, valves and the discs of flanges as a flange of their
    size and class; hubs as pipe. Stems and handwheels are as the file says. Lines that miss their end are left out,
    since where they are is not known, and so are lines that
    branch off these.
    """
    return _Builder(hookup, measured).build()


class _Builder:
    def __init__(self, hookup: Hookup, measured: Measured) -> None:
        self.hookup, self.measured = hookup, measured
        self.made = Solids()
        self.branches: set[Mark] = set()  # marks on branches: drains, vents and the like
        self.unsure: set[Mark] = set()  # marks whose place depends on a direction that the file does not say
        self.at: dict[str, set[int]] = {}  # the straights of each component at a mark
        self.faces: dict[tuple[str, str], Point] = {}  # where a port of a component at a mark ends
        self.reaches: dict[tuple[str, str], float] = {}  # from the mark to where the neighbour's end is
        self.missed = self._in_doubt()

    def build(self) -> Solids:
        ports: dict[tuple[str, str], Straight] = {}
        for number, straight in enumerate(self.measured.straights):
            self._follow(straight)
            for mark, port in ((straight.a, straight.port_a), (straight.b, straight.port_b)):
                self.at.setdefault(mark[0], set()).add(number)
                ports[mark[0], port] = straight
        for number, straight in enumerate(self.measured.straights):
            if not self._left_out(straight):
                self._pieces(number, straight)
        for together in self.at.values():
            for number in together:
                self.made.beside.setdefault(number, set()).update(together)
        by_component: dict[str, list[tuple[str, Straight]]] = {}
        for (id, port), straight in ports.items():
            if not self._left_out(straight):
                by_component.setdefault(id, []).append((port, straight))
        for id, own in by_component.items():
            if self.hookup.component(id).kind.ports not in ("coil", "main"):
                self._body(self.hookup.component(id), own)
        return self.made

    def _in_doubt(self) -> set[str]:
        """Lines that miss their end, and those that start or end at one of these."""
        made = {miss.line for miss in self.measured.misses}
        more = bool(made)
        while more:
            doubtful = {
                mark for s in self.measured.straights if s.line in made for mark in (s.a, s.b) if not self._fixed(mark)
            }
            lines = {s.line for s in self.measured.straights if s.a in doubtful or s.b in doubtful}
            more = not lines <= made
            made |= lines
        return made

    def _fixed(self, mark: Mark) -> bool:
        return self.hookup.component(mark[0]).kind.ports in ("coil", "main")

    def _follow(self, straight: Straight) -> None:
        """Note what a branch leads to, and what stands in a direction that is only taken to be so."""
        side = straight.port_a in ("branch", "bypass")
        inside = self.hookup.component(straight.a[0]).line == straight.line
        if (side and inside) or straight.a in self.branches:
            self.branches.add(straight.b)
        if ((side and straight.taken) or straight.a in self.unsure) and not self._fixed(straight.b):
            self.unsure.add(straight.b)

    def _left_out(self, straight: Straight) -> bool:
        doubtful = straight.b in self.unsure or straight.a in self.unsure
        return doubtful or straight.line in self.missed or not straight.heading

    def _jacket(self, component: Component, straight: Straight) -> float:
        """Insulation goes on the line, not on the small things that hang from it."""
        service = self.hookup.services.get(component.service)
        if service is None or service.insulation_in is None or straight.b in self.branches or component.role:
            return 0.0
        return float(service.insulation_in)

    # -- between two marks ------------------------------------------------------------------------------------------

    def _pieces(self, number: int, straight: Straight) -> None:
        parts = straight.parts
        for place, part, start, end, frame in laid(straight, self.measured.marks):
            if frame > FAR:
                continue  # between two unknown lengths: nobody knows where
            mark = straight.a if frame == NEAR else straight.b
            if place in (0, len(parts) - 1):
                port = straight.port_b if place else straight.port_a
                self.faces[part.id, port] = start if place else end
                self.reaches[part.id, port] = _apart(start, end) - _inside(parts[place - 1 if place else 1])
            elif part.id:
                component = self.hookup.component(part.id)
                self.made.lengths[part.id] = max(0.0, _apart(start, end) - _inside(parts[place - 1], parts[place + 1]))
                for shape in _shapes(component, parts, place, start, end):
                    island, jacket = self.measured.islands[mark], self._jacket(component, straight)
                    self.made.all.append(Solid(component, shape, island, frozenset((number,)), jacket))

    # -- at a mark ----------------------------------------------------------------------------------------------------

    def _body(self, component: Component, ports: list[tuple[str, Straight]]) -> None:
        mark: Mark = (component.id, "")
        centre = point(self.measured.marks[mark])
        island, straights = self.measured.islands[mark], frozenset(self.at[component.id])
        faces: list[Point] = []
        reaches: list[float] = []
        for port, straight in ports:
            face, end = self.faces.get((component.id, port)), component.ends.get(port)
            if face is None or end is None:
                continue
            faces.append(face)
            reaches.append(self.reaches[component.id, port])
            radius = _radius(end)
            if radius is None or _apart(face, centre) < _LEAST or component.kind.name in ("elbow", "45 elbow"):
                continue
            jacket = self._jacket(component, straight)
            self.made.all.append(Solid(component, Cylinder(centre, face, radius), island, straights, jacket))
        if len(faces) > 1:
            self.made.lengths[component.id] = max(0.0, 2 * min(reaches))
        if len(faces) == 2 and component.kind.name in ("elbow", "45 elbow"):
            self._arc(component, centre, faces, island, straights, self._jacket(component, ports[0][1]))
        self._stem(component, centre, island, straights)

    def _arc(
        self,
        elbow: Component,
        corner: Point,
        faces: list[Point],
        island: int,
        straights: frozenset[int],
        jacket: float,
    ) -> None:
        """An elbow as two chords of its arc."""
        radius = _radius(elbow.ends["in"])
        if radius is None:
            return
        share = _ARC_90 if elbow.kind.name == "elbow" else _ARC_45
        a, b = faces
        middle = [c + (p - c + q - c) * share for c, p, q in zip(corner, a, b, strict=True)]
        bend = (middle[0], middle[1], middle[2])
        for start, end in ((a, bend), (bend, b)):
            self.made.all.append(Solid(elbow, Cylinder(start, end, radius), island, straights, jacket))

    def _stem(self, valve: Component, centre: Point, island: int, straights: frozenset[int]) -> None:
        """A stem as a line without thickness, and its handwheel as a disc, where the file says how long and wide."""
        fitted = valve.fitted
        unit = unit_vector(fitted.stem)
        if unit is None or fitted.stem_in is None:
            return
        length = float(fitted.stem_in)
        tip = ahead(centre, unit, length)
        self.made.all.append(Solid(valve, Cylinder(centre, tip, 0.0), island, straights, what="stem"))
        if fitted.wheel_in is not None:
            disc = Cylinder(ahead(tip, unit, -_RIM), tip, float(fitted.wheel_in) / 2)
            self.made.all.append(Solid(valve, disc, island, straights, what="handwheel"))


#: What reaches no further than this, inches, is an outlet on its own run of pipe.
_LEAST = 1e-6
#: A handwheel is taken to be this thick, inches. Common practice, no source.
_RIM = 0.5


def _apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _inside(*gaps: Part) -> float:
    """How far neighbours go into a thing, at the joints beside it."""
    return sum(-float(gap.length) for gap in gaps if isinstance(gap.length, Fraction) and gap.length < 0)


@cache
def _radius(end: End) -> float | None:
    """Half of how wide a thing is at one of its ends; None if the tables do not have it."""
    if end.form in ("flange", "lug", "wafer"):
        dims = flange(end.size, end.rating, "", end.metal)
        if dims is not None:
            return float(dims.od) / 2
    od = outside(end.size, end.metal)
    return None if od is None else float(od) / 2


def _shapes(component: Component, parts: tuple[Part, ...], place: int, start: Point, end: Point) -> Iterator[Cylinder]:
    """A piece between two marks: a flange as disc and hub, a reducer as its small end, anything else as its pipe."""
    hubs = [radius for e in component.ends.values() if e.form != "flange" and (radius := _radius(e)) is not None]
    if not hubs:
        return
    yield Cylinder(start, end, min(hubs))
    faced = next((e for e in component.ends.values() if e.form == "flange"), None)
    dims = flange(faced.size, faced.rating, faced.facing, faced.metal) if faced is not None else None
    at_start, at_end = (parts[n].what == "bolted" for n in (place - 1, place + 1))
    if dims is None or at_start == at_end:
        return
    face, hub = (start, end) if at_start else (end, start)
    length = _apart(face, hub)
    share = min(1.0, float(dims.thickness + dims.face) / length) if length else 0.0
    back = tuple(f + (h - f) * share for f, h in zip(face, hub, strict=True))
    yield Cylinder(face, (back[0], back[1], back[2]), float(dims.od) / 2)
