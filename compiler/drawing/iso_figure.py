"""The figure of an isometric: pipes, symbols, joints and dimensions, and where its labels point at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise

from ..model.hookup import Component, Move
from ..takeoff.describe import description
from ..takeoff.penetrations import said_along
from ..takeoff.pieces_of_pipe import is_cut_pipe
from ..takeoff.welding import Weld
from .iso_axes import Flat, Space, across, axis, plus, project, shift
from .iso_bill import spans
from .iso_dims import Dimensions
from .iso_labels import Label, Rank, put
from .iso_layout import is_broken
from .iso_legs import ELBOWS, OFFSET_SHARES, Bit, Leg, Node, branch_welds
from .iso_names import Names
from .iso_subject import Subject
from .iso_symbols import (
    arrow,
    bar,
    bounds,
    broken,
    clamp,
    covered,
    field_weld,
    hanger,
    joint_sign,
    line,
    places,
    plate,
    shop_weld,
    skewed,
    slope,
)
from .iso_ways import Ways
from .room import Room
from .svg import Stroke
from .symbols import symbol_of, turned_over, widens
from .wording import feet_and_inches

#: How far from the middle of a symbol its leader begins.
_SYMBOL = 9.0
#: Half the length of a match line.
_MATCH = 24.0
#: What a run of pipe needs to hold an arrow.
_ARROW = 26.0


class Figure:
    """The figure of a subject, with 0,0 anywhere. `body` is its markup, `room` what covers the sheet, `pipes` its
    strokes; `welds` and `used` say which welds and signs are in it."""

    def __init__(self, subject: Subject) -> None:
        self.subject, self.legs = subject, subject.legs
        self._ways = Ways(self.legs, subject.hookup)
        self.pipes = self._ways.strokes()
        self.welds: dict[int, Weld] = {}
        self.used: dict[str, None] = {}
        self._flat, self._met = self._ways.flat, self._ways.met
        self._names = Names(subject, self._ways)
        self.room = Room(min(x for x, _ in self._flat.values()))
        for stroke in self.pipes:
            self.room.draw(stroke)
        self._on_pipe = branch_welds(subject.welds)
        body = self._ways.drawn() + self._signs()
        # welds crowd the pipe, so they come first; dimensions keep clear of them, all else finds room beside both
        near = put(self.room, self._names.taken(Rank.WELD))
        dimensions = Dimensions(self.room, self._flat, subject.wording)
        for leg in sorted(self.legs, key=lambda leg: not leg.main):
            if leg.size is not None and not dimensions.put(leg):
                x, y = self._ways.on(leg, leg.length / 2)
                self._names.add(Rank.LENGTH, Label(x, y, (f"{subject.wording.of(leg.size)} c-c",), leg.b[0]))
        self.body = body + "".join(dimensions.body) + near + put(self.room, self._names.taken())

    # -- what stands along them ---------------------------------------------------------------------------------------

    def _signs(self) -> str:
        made = ""
        drawn: set[Node] = set()
        for leg in self.legs:
            for node in (leg.a, leg.b):
                if node not in drawn:
                    drawn.add(node)
                    made += self._node(node)
            made += self._offset(leg)
            for bit in leg.bits:
                made += self._bit(leg, bit)
            self._names.ends(leg)
            made += self._pitch(leg) + self._match_lines(leg)
        self._names.levels(self.legs)
        return made

    def _node(self, node: Node) -> str:
        """What stands at a corner: its symbol, and the label that names it."""
        component = self.subject.hookup.component(node[0])
        met = [leg for leg in self._met[node] if node in (leg.straight.a, leg.straight.b)]
        if not met:
            return ""
        at, way = self._flat[node], _through(node, met)
        if component.kind.ports == "coil":
            sides = [s for s in (axis("right"), axis("toward"), axis("up")) if s and _apart(project(s), way)]
            sign, corners = plate(at, project(sides[0]), project(sides[1]), 13)
            self.room.cover(covered(bounds(corners), component.id))
            return sign
        if component.kind.name in ELBOWS:
            self._names.name(component, self._ways.on_bend(node), Rank.PIECE)
            return ""
        if component.kind.ports == "tee" and not component.tag and is_cut_pipe(component):
            return self._outlet(node, component, at)
        if component.kind.ports == "tee":
            self._names.name(component, at, Rank.BODY)
            return self._outlet(node, component, at) if is_cut_pipe(component) else ""
        stem = self._stem(node, component, way)
        sign, box = skewed(
            symbol_of(component),
            at,
            (-way[0], -way[1]) if widens(component) else way,
            stem,
            shut=component.closed,
            lines=places(component),
            about=self.subject.said(
                f"{component.tag}: {description(component)}" if component.tag else description(component)
            ),
        )
        self.room.cover(covered(box, component.id))
        middle = (box[0] + box[2] / 2, box[1] + box[3] / 2) if component.kind.ports == "end" else at
        if component.kind.ports != "main":
            self._names.name(component, middle, Rank.BODY, _SYMBOL)
        return sign

    def _stem(self, node: Node, component: Component, way: Flat) -> Flat:
        """The axis of a symbol's upper side: away from its branch, else where its stem is said to be."""
        for leg in self._met[node]:
            if _port(leg, node)[0] in ("branch", "bypass"):
                x, y = project(leg.unit)
                side = (-x, -y) if leg.a == node else (x, y)
                if _apart(side, way):
                    return side
        return across(way, component.fitted.stem)

    def _outlet(self, node: Node, component: Component, at: Flat) -> str:
        """An outlet on the pipe: a short thick root of its branch, and its weld."""
        leg = next((leg for leg in self._met[node] if leg.a == node and leg.straight.port_a == "branch"), None)
        way = project(leg.unit) if leg is not None else (0.0, -1.0)
        made = line(at, shift(at, way, 6), 5.0)
        weld = self._on_pipe.get(component.id)
        if weld is not None:
            made += self._weld(weld, shift(at, way, 3.0))
        self.room.cover(covered(bounds([at, shift(at, way, 7)], 3), component.id))
        self._names.name(component, shift(at, way, 4), Rank.PIECE)
        return made

    def _bit(self, leg: Leg, bit: Bit) -> str:
        at = self._ways.on(leg, bit.middle)
        way = project(leg.unit)
        if bit.part.sort == "gap":
            return self._joint(leg, bit, at, way)
        component = bit.component
        if component is None or bit.part.sort == "take-out":
            return ""
        if bit.part.sort == "cut":
            return self._run(leg, bit, component, way)
        if is_cut_pipe(component) or component.kind.group == "flanges" or "nipple" in component.kind.name:
            self._names.name(component, at, Rank.PIECE, also=self._ways.along(leg, bit))
            return ""
        flow, side = (-way[0], -way[1]) if _against(leg, bit) != widens(component) else way, across(way)
        sign, box = skewed(
            symbol_of(component),
            at,
            flow,
            (-side[0], -side[1]) if turned_over(component) else side,
            lines=places(component),
            about=self.subject.said(description(component)),
        )
        self.room.cover(covered(box, component.id))
        self._names.name(component, at, Rank.PIECE, _SYMBOL)
        return sign

    def _joint(self, leg: Leg, bit: Bit, at: Flat, way: Flat) -> str:
        side = across(way)
        kind = bit.part.what
        if bit.weld is not None:
            return self._weld(bit.weld, at)
        if kind != "same piece":
            self.used.setdefault(kind)
            self.room.cover(covered(bounds([shift(at, side, -6), shift(at, side, 6)], 2), ""))
        if kind == "bolted" and bit in (leg.bits[0], leg.bits[-1]):
            return bar(at, side)
        return joint_sign(kind, at, way, side, bit.px)

    def _weld(self, weld: Weld, at: Flat) -> str:
        if weld.number in self.welds:
            return ""
        self.welds[weld.number] = weld
        self.used.setdefault("field weld" if weld.field else "shop weld")
        name = f"W{weld.number}"
        self.room.cover(covered((at[0] - 4, at[1] - 4, 8, 8), name))
        self._names.add(Rank.WELD, Label(at[0], at[1], (name,), name, at=spans(weld.origin), size=9, clear=4))
        return field_weld(at) if weld.field else shop_weld(at)

    def _run(self, leg: Leg, bit: Bit, component: Component, way: Flat) -> str:
        """A run of pipe: its break, its arrow, what is on it, and its label."""
        made = ""
        moves = _on_run(component.pipe.moves if component.pipe is not None else (), self._said(leg))
        for share, move in moves:
            at = self._ways.on(leg, bit.start + (0.18 + 0.64 * share) * bit.px)
            made += self._on_pipe_sign(move, at, way)
        places_left = [0.5, 0.25, 0.75] if not moves else [0.2, 0.8, 0.5]
        if is_broken(leg):
            at = self._ways.on(leg, bit.start + places_left[1] * bit.px)
            made += broken(at, way)
            self.used.setdefault("break")
            self.room.cover(covered((at[0] - 7, at[1] - 7, 14, 14), component.id))
        if bit.px >= _ARROW:
            at = self._ways.on(leg, bit.start + places_left[0] * bit.px)
            made += arrow(at, way)
            self.used.setdefault("flow")
            self.room.cover(covered((at[0] - 5, at[1] - 5, 10, 10), component.id))
        at = self._ways.on(leg, bit.start + places_left[2] * bit.px)
        self._names.name(component, at, Rank.PIECE, also=self._ways.along(leg, bit))
        return made

    def _said(self, leg: Leg) -> Callable[[Move], float | None]:
        """The share of a leg that lies before a penetration whose place is in the file."""
        whole = leg.straight.centres

        def share(move: Move) -> float | None:
            along = said_along(self.subject.hookup, leg.straight, move) if move.through else None
            if along is None or not isinstance(whole, Fraction) or not 0 <= along <= whole or not whole:
                return None
            return float(along / whole)

        return share

    def _on_pipe_sign(self, move: Move, at: Flat, way: Flat) -> str:
        at_lines = spans((move.span,))
        if move.through:
            one, two = [
                project(s) for s in (axis("right"), axis("toward"), axis("up")) if s and _apart(project(s), way)
            ][:2]
            sign, corners = plate(at, one, two, 13, "3 2")
            self.room.cover(covered(bounds(corners), move.through))
            self._names.add(
                Rank.ON_PIPE,
                Label(
                    at[0],
                    at[1],
                    (*self.subject.marks.get(move.span, ()), f"through {move.through}"),
                    move.through,
                    at=at_lines,
                    least=6,
                ),
            )
            return sign
        sign, box = clamp(at) if abs(way[0]) < 0.1 else hanger(at)
        self.room.cover(covered(box, move.mark))
        lines = self.subject.marks.get(move.span, (move.mark,))
        self._names.add(Rank.ON_PIPE, Label(box[0] + box[2] / 2, box[1] + 2, lines, move.mark, at=at_lines))
        return sign

    def _pitch(self, leg: Leg) -> str:
        pitch = leg.straight.pitch
        run = leg.run
        if not pitch or run is None:
            return ""
        way = project(leg.unit)
        down = way if pitch < 0 else (-way[0], -way[1])
        for share in (0.62, 0.4, 0.8, 0.22):
            at = self._ways.on(leg, run.start + share * run.px)
            box = covered((at[0] - 11, at[1] - 18, 22, 12), leg.b[0])
            if self.room.is_free(box):
                break
        sign = slope(at, down, project((0.0, 0.0, 1.0)))
        self.room.cover(box)
        word = "falls" if pitch < 0 else "rises"
        self._names.add(
            Rank.ON_PIPE,
            Label(
                at[0],
                at[1] - 12,
                (self.subject.wording.text(f"{word} {feet_and_inches(abs(pitch))} per ft"),),
                leg.b[0],
            ),
        )
        return sign

    def _match_lines(self, leg: Leg) -> str:
        """Where a leg is cut off: a heavy chain line across the pipe, with its letter and the other sheet's number."""
        made = ""
        for text, node in ((leg.match_a, leg.a), (leg.match_b, leg.b)):
            if text:
                at, side = self._flat[node], across(project(leg.unit))
                ends = shift(at, side, -_MATCH), shift(at, side, _MATCH)
                made += line(*ends, 1.6, "9 3 2 3")
                self.room.cover(covered(bounds(ends, 2), node[0]))
                self._names.add(Rank.END, Label(*at, tuple(text.split(", ")), node[0], least=8, bold=True))
        return made

    def _offset(self, leg: Leg) -> str:
        """The triangle of an offset: ahead, aside and, where it rolls, aside again, with its lengths; hatched."""
        if not leg.aside:
            return ""
        ways: list[Space] = []
        for (heading, _), share in zip(leg.aside, OFFSET_SHARES, strict=False):
            unit = axis(heading)
            assert unit is not None
            ways.append((unit[0] * share, unit[1] * share, unit[2] * share))
        whole = ways[0]
        for more in ways[1:]:
            whole = plus(whole, more)
        x, y = project(whole)
        times = leg.length / (x * x + y * y) ** 0.5
        corners = [self._ways.space[leg.a]]
        for way in ways:
            corners.append(plus(corners[-1], way, times))
        flat = [project(at) for at in corners]
        made = ""
        words = ("run", "set", "roll")
        for n, (start, end) in enumerate(pairwise(flat)):
            made += line(start, end, 0.8, "4 2.5")
            self.room.lead(Stroke(*start, *end))
            length = leg.aside[n][1]
            text = f"{words[n]} {self.subject.wording.of(length) if length is not None else 'not measured'}"
            self._names.add(Rank.LENGTH, Label((start[0] + end[0]) / 2, (start[1] + end[1]) / 2, (text,), leg.b[0]))
        for share in (0.2, 0.4, 0.6, 0.8):
            made += line(_between(flat[0], flat[1], share), _between(flat[0], flat[2], share), 0.5, soft=True)
        if len(flat) > 3:
            made += line(flat[0], flat[2], 0.8, "4 2.5")
        return made


def _through(node: Node, met: Sequence[Leg]) -> Flat:
    """The way of the flow through what stands at a node: that in which it is come to, else that in which it is left."""
    ways = {port: way for leg in reversed(met) for port, way in [_port(leg, node)]}
    return next((ways[port] for port in ("in", "out") if port in ways), next(iter(ways.values())))


def _port(leg: Leg, node: Node) -> tuple[str, Flat]:
    """The port by which a leg meets a node, and the way of the flow there."""
    x, y = project(leg.unit)
    if leg.b == node:
        return leg.straight.port_b, (x, y)
    if leg.stub and leg.straight.b == node:
        return leg.straight.port_b, (-x, -y)
    return leg.straight.port_a, (x, y)


def _apart(a: Flat, b: Flat) -> bool:
    return abs(a[0] * b[1] - a[1] * b[0]) > 0.6


def _between(a: Flat, b: Flat, share: float) -> Flat:
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def _against(leg: Leg, bit: Bit) -> bool:
    """Whether a piece lies on its leg with its outlet first."""
    number = leg.bits.index(bit)
    joint = leg.bits[number - 1].joint if number else None
    if joint is None or bit.component is None:
        return False
    ends = (joint.end_a, joint.end_b)
    return bit.component.ends.get("out") in ends and bit.component.ends.get("in") not in ends


def _on_run(moves: Sequence[Move], said: Callable[[Move], float | None]) -> list[tuple[float, Move]]:
    """What is on a run of pipe, with the share of the run that lies before it: what is `said` of it, else by the moves;
    lengths not given count alike. What stands close together is drawn apart."""
    ways = [_given(move) for move in moves if not (move.mark or move.through)]
    known = [length for length in ways if length is not None]
    usual = sum(known) / len(known) if known else 1.0
    total = sum(usual if length is None else length for length in ways) or 1.0
    found: list[tuple[float, Move]] = []
    before = 0.0
    for move in moves:
        if move.mark or move.through:
            share = said(move)
            found.append((before / total if share is None else share, move))
        else:
            length = _given(move)
            before += usual if length is None else length
    made: list[tuple[float, Move]] = []
    for share, move in sorted(found, key=lambda one: one[0]):
        made.append((max(share, made[-1][0] + _STEP if made else 0.0), move))
    last = max(made[-1][0], 1.0) if made else 1.0
    return [(share / last, move) for share, move in made]


#: The least part of a run between two things on it.
_STEP = 0.22


def _given(move: Move) -> float | None:
    length = move.legs[0].length if move.legs else move.length
    return None if length is None else float(length)
