"""What an isometric shows of a hookup: its straights as legs, each made of the things that stand along it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..model.hookup import NOT_MADE_UP, Component, Hookup, Joint, Link
from ..model.measured import Part, Straight
from ..model.table import Unknown
from ..takeoff.pieces_of_pipe import is_cut_pipe
from ..takeoff.welding import BRANCH, KINDS, Weld
from .iso_axes import Space, axis, project
from .symbols import symbol_of

#: A corner of the drawing: a mark of the measured hookup, or an end that is none.
Node = tuple[str, str]

#: What is shorter is not dimensioned, inches.
LEAST = Fraction(1, 32)

#: How long things are drawn, pixels; those with a symbol as long as that is. Joints have room for their own sign.
_ELBOW, _TEE, _OUTLET, _BRANCH, _MAIN, _FIXED = 14.0, 14.0, 10.0, 7.0, 10.0, 3.0
_FLANGE, _NIPPLE, _PIPE = 9.0, 16.0, 32.0
_WELD, _BOLTED, _OTHER, _NOT_MADE_UP = 6.0, 5.0, 4.0, 10.0
_STUB = 30.0


@dataclass(slots=True)
class Bit:
    """One thing along a leg: what stands at its end (`take-out`), a joint (`gap`), a `piece`, or the run of pipe
    (`cut`). `px`: how long it is drawn; `start`: where it begins on its leg, settled with the layout."""

    part: Part
    px: float
    component: Component | None = None
    joint: Joint | None = None
    weld: Weld | None = None
    start: float = 0.0

    @property
    def middle(self) -> float:
        """Where its middle is on its leg."""
        return self.start + self.px / 2


@dataclass(slots=True, eq=False)
class Leg:
    """A straight, or as much of it as belongs to the drawing; `unit` leads one pixel along it, `length` is that drawn.

    `main`: on the way of its line, not on a branch. `whole`: from mark to mark. `size`: its length from centre (or
    face) to centre, None where it is not to be shown. `before`, `beyond`: what it goes on to outside of the drawing;
    `match_a`, `match_b`: the match line at which it is cut off. `stub`: another line that only begins here. `aside`: of
    an offset, its directions with their lengths, that of the line first.
    """

    straight: Straight
    bits: list[Bit]
    a: Node
    b: Node
    unit: Space
    main: bool
    whole: bool = True
    size: Fraction | Unknown | None = None
    before: str = ""
    beyond: str = ""
    stub: str = ""
    match_a: str = ""
    match_b: str = ""
    aside: tuple[tuple[str, Fraction | None], ...] = ()
    length: float = 0.0

    @property
    def run(self) -> Bit | None:
        """The run of pipe that takes what the others leave."""
        return next((bit for bit in self.bits if bit.part.sort == "cut"), None)


class Legs:
    """The straights of a measured hookup as legs. ValueError from `of_line` and `of_spool` says why there are none."""

    def __init__(self, hookup: Hookup, welds: Iterable[Weld]) -> None:
        assert hookup.measured is not None
        self._hookup = hookup
        links = [link for link in hookup.straights if link.line in hookup.lines]
        self.straights = list(zip(hookup.measured.straights, links, strict=True))
        self._welds = {id(weld.joint): weld for weld in welds if weld.joint is not None}
        self._joints: dict[frozenset[str], list[Joint]] = {}
        for u, v, joint in hookup.joints():
            self._joints.setdefault(frozenset((u, v)), []).append(joint)
        self._main = _main(hookup.measured.straights)

    def of_line(self, line: str) -> list[Leg]:
        """A line with its branches, and the beginnings of other lines that leave it."""
        made = [self._leg(s, link, 0, len(s.parts), str) for s, link in self.straights if s.line == line]
        marks = {mark for leg in made for mark in (leg.a, leg.b)}
        taken: dict[Node, set[Space]] = {}
        for leg in made:
            taken.setdefault(leg.a, set()).add(leg.unit)
            back = (-leg.unit[0], -leg.unit[1], -leg.unit[2])
            taken.setdefault(leg.b, set()).add(back)
        for straight, _ in self.straights:
            if straight.line == line:
                continue
            for mark, away in ((straight.a, 1.0), (straight.b, -1.0)):
                if mark not in marks or self._hookup.component(mark[0]).kind.ports in ("coil", "main"):
                    continue
                said = axis(straight.heading)
                unit = (said[0] * away, said[1] * away, said[2] * away) if said is not None else None
                if unit is None or unit in taken[mark]:
                    unit = next((u for u in _SIX if u not in taken[mark]), _SIX[0])
                taken[mark].add(unit)
                end = (mark[0], f"{mark[1]} to {straight.line} {away}")
                made.append(Leg(straight, [], mark, end, unit, main=False, whole=False, stub=straight.line))
        return made

    def of_spool(self, ids: set[str], named: Callable[[Component], str]) -> list[Leg]:
        """What belongs to the components `ids`; `named` names what they go on to."""
        made = []
        for straight, link in self.straights:
            held = [n for n in range(0, len(straight.parts), 2) if straight.parts[n].id in ids]
            for low, high in _ranges(held):
                made.append(self._leg(straight, link, low, high + 1, named))
        return made

    # -- one leg ----------------------------------------------------------------------------------------------------

    def _leg(self, straight: Straight, link: Link, low: int, high: int, named: Callable[[Component], str]) -> Leg:
        """The parts of a straight from `low` to before `high`; joints at which it goes on are in it as well."""
        unit, aside = _direction(straight, link)
        if unit is None:
            ends = (self._hookup.component(id).label for id, _ in (straight.a, straight.b))
            raise ValueError(f"the file does not say in which direction it runs from {' to '.join(ends)}")
        first, last = low == 0, high == len(straight.parts)
        inside = straight.parts[low:high]
        bits = list(self._bits(straight, max(low - 1, 0), min(high + 1, len(straight.parts))))
        main = id(straight) in self._main
        leg = Leg(
            straight,
            bits,
            straight.a if first else (straight.a[0], f"{straight.a[1]} {straight.port_a} part {low}"),
            straight.b if last else (straight.a[0], f"{straight.a[1]} {straight.port_a} part {high}"),
            unit,
            main,
            whole=first and last,
            aside=aside,
        )
        if first and last:
            leg.size = straight.centres if main or (leg.run and not straight.taken) else None
        elif any(part.sort in ("cut", "piece") and _is_pipe(self._hookup, part) for part in inside):
            leg.size = _sum(inside)
        if isinstance(leg.size, Fraction) and abs(leg.size) < LEAST:
            leg.size = None  # outlets of which the file does not say that they are apart
        if not first:
            leg.before = named(self._hookup.component(straight.parts[low - 2].id))
        if not last:
            leg.beyond = named(self._hookup.component(straight.parts[high + 1].id))
        return leg

    def _bits(self, straight: Straight, low: int, high: int) -> Iterator[Bit]:
        parts = straight.parts
        for number in range(low, high):
            part = parts[number]
            at_end = number in (low, high - 1)  # the joint at which it goes on: the face of what is drawn is the end
            if part.sort == "gap":
                joint = self._joint(parts[number - 1].id, parts[number + 1].id, part.what)
                weld = self._welds.get(id(joint)) if joint is not None else None
                yield Bit(part, 0.0 if at_end else _joint_px(part.what), joint=joint, weld=weld)
                continue
            component = self._hookup.component(part.id)
            port = straight.port_a if number == 0 else straight.port_b
            yield Bit(part, _px(component, part.sort, port), component)

    def _joint(self, u: str, v: str, kind: str) -> Joint | None:
        found = self._joints.get(frozenset((u, v)), [])
        return next((joint for joint in found if joint.kind == kind), None)


#: Shares of the directions of an offset as it is drawn: ahead, aside, aside again.
OFFSET_SHARES = (1.0, 0.7, 0.4)
_SIX: tuple[Space, ...] = ((0, 0, 1), (0, 0, -1), (0, 1, 0), (0, -1, 0), (1, 0, 0), (-1, 0, 0))


def branch_welds(welds: Iterable[Weld]) -> dict[str, Weld]:
    """The weld of each outlet onto its pipe, by the outlet."""
    return {weld.between[0].id: weld for weld in welds if weld.kind == BRANCH}


def _main(straights: Iterable[Straight]) -> set[int]:
    """Those on the way of their line from its start to its end; the others are on branches."""
    by_line: dict[str, list[Straight]] = {}
    for straight in straights:
        by_line.setdefault(straight.line, []).append(straight)
    made = set()
    for own in by_line.values():
        onward = {s.a: s for s in own[1:] if s.port_a == "out"}
        at: Straight | None = own[0]
        while at is not None:
            made.add(id(at))
            at = onward.pop(at.b, None)
    return made


def _ranges(numbers: list[int]) -> Iterator[tuple[int, int]]:
    """Runs of even numbers that follow each other, as first and last."""
    start = None
    for n, number in enumerate(numbers):
        start = number if start is None else start
        if n + 1 == len(numbers) or numbers[n + 1] != number + 2:
            yield start, number
            start = None


def _direction(straight: Straight, link: Link) -> tuple[Space | None, tuple[tuple[str, Fraction | None], ...]]:
    """The way of a straight, one pixel on the sheet; of an offset its directions too.

    An offset is drawn with unlike shares of its directions, so that it never seems to run along an axis.
    """
    move = next((m for m in link.moves if m.along), None)
    if straight.heading != "offset" or move is None:
        return axis(straight.heading), ()
    legs = [leg for leg in move.legs if leg.direction != move.along]
    ahead = None
    along = axis(move.along)
    if straight.vector is not None and along is not None:
        ahead = sum((abs(v) for v, a in zip(straight.vector, along, strict=True) if a), Fraction(0))
    aside = ((move.along, ahead), *((leg.direction, leg.length) for leg in legs))
    made = [0.0, 0.0, 0.0]
    for (heading, _), share in zip(aside, OFFSET_SHARES, strict=False):
        unit = axis(heading)
        if unit is None:
            return None, ()
        made = [m + share * u for m, u in zip(made, unit, strict=True)]
    x, y = project(made)
    size = (x * x + y * y) ** 0.5
    return (made[0] / size, made[1] / size, made[2] / size), aside


def _sum(parts: Iterable[Part]) -> Fraction | Unknown:
    total = Fraction(0)
    for part in parts:
        if not isinstance(part.length, Fraction):
            return part.length
        total += part.length
    return total


def _is_pipe(hookup: Hookup, part: Part) -> bool:
    return is_cut_pipe(hookup.component(part.id))


def _px(component: Component, sort: str, port: str) -> float:
    ports, name = component.kind.ports, component.kind.name
    if sort == "cut":
        return 0.0
    if sort == "piece":
        if component.kind.group == "flanges":
            return _FLANGE
        if is_cut_pipe(component):
            return _PIPE
        shape = symbol_of(component)
        return _NIPPLE if "nipple" in name else shape.left + shape.right
    if ports in ("coil", "main", "end"):
        return _MAIN if ports == "main" else _FIXED
    if ports == "tee":
        return _BRANCH if port == "branch" and is_cut_pipe(component) else _OUTLET if is_cut_pipe(component) else _TEE
    if name in ELBOWS:
        return _ELBOW
    shape = symbol_of(component)
    return {"in": shape.left, "out": shape.right}.get(port, shape.down) + 1.0


#: Corners: what is drawn as the turn of its pipe.
ELBOWS = ("elbow", "45 elbow")


def _joint_px(kind: str) -> float:
    if kind in KINDS:
        return _WELD
    return {"same piece": 0.0, "bolted": _BOLTED, NOT_MADE_UP: _NOT_MADE_UP}.get(kind, _OTHER)
