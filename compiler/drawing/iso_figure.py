"""The figure of an isometric: pipes, symbols, joints and dimensions, and where its labels point at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from ..model.hookup import Component, Move
from ..takeoff.describe import description
from ..takeoff.pieces_of_pipe import is_cut_pipe
from ..takeoff.welding import Weld
from .iso_axes import Flat, Space, across, axis, nearness, plus, project, shift
from .iso_bill import spans
from .iso_dims import Dimensions, length_text
from .iso_labels import Label, put
from .iso_layout import crossing, is_broken, lay_out
from .iso_legs import ELBOWS, OFFSET_SHARES, Bit, Leg, Node, branch_welds
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
from .room import Room
from .svg import INK, Stroke, num, path
from .symbols import symbol_of

_PIPE, _BRANCH = 2.4, 1.6
_CORNER = 9.0
#: How far from the middle of a symbol its leader begins.
_SYMBOL = 9.0
_BEHIND = 6.0
#: What a run of pipe needs to hold an arrow.
_ARROW = 26.0


class Figure:
    """The figure of a subject, with 0,0 anywhere. `body` is its markup, `room` what covers the sheet, `pipes` its
    strokes; `welds` and `used` say which welds and signs are in it."""

    def __init__(self, subject: Subject) -> None:
        self.subject, self.legs = subject, subject.legs
        self.room = Room()
        self.pipes: list[Stroke] = []
        self.welds: dict[int, Weld] = {}
        self.used: dict[str, None] = {}
        self._space = lay_out(self.legs)
        self._flat = {node: project(at) for node, at in self._space.items()}
        self._labels: list[tuple[int, Label]] = []
        self._on_pipe = branch_welds(subject.welds)
        self._cut_of = {c.id: number for number, piece in subject.cuts for c in piece.components}
        self._pieces = dict(subject.cuts)
        self._met: dict[Node, list[Leg]] = {}
        for leg in self.legs:
            self._met.setdefault(leg.a, []).append(leg)
            self._met.setdefault(leg.b, []).append(leg)
        self._numbered: set[str] = set()
        self._cut_said: set[int] = set()
        body = self._pipes_drawn() + self._signs()
        dimensions = Dimensions(self.room, self._flat)
        for leg in sorted(self.legs, key=lambda leg: not leg.main):
            if leg.size is not None and not dimensions.put(leg):
                x, y = self._on(leg, leg.length / 2)
                self._label(1, Label(x, y, (f"{length_text(leg.size)} c-c",), leg.b[0]))
        body += "".join(dimensions.body)
        labels = [label for _, label in sorted(self._labels, key=lambda pair: pair[0])]
        self.body = body + put(self.room, labels)

    def _on(self, leg: Leg, at: float) -> Flat:
        return shift(self._flat[leg.a], project(leg.unit), at)

    def _label(self, rank: int, label: Label) -> None:
        """Keep a label until all pipes lie; those of lower rank are put first."""
        said = tuple(self.subject.said(text) for text in label.lines if text)
        if said or label.item:
            self._labels.append((rank, replace(label, lines=said)))

    # -- pipes --------------------------------------------------------------------------------------------------------

    def _pipes_drawn(self) -> str:
        hidden = self._hidden()
        made = ""
        for leg in self.legs:
            a, b = self._flat[leg.a], self._flat[leg.b]
            self.pipes.append(Stroke(*a, *b))
            self.room.draw(Stroke(*a, *b))
            start, end = (self._corner(node, leg) for node in (leg.a, leg.b))
            at = start
            width = _PIPE if leg.main else _BRANCH
            for place in sorted(hidden.get(leg, ())):
                if place - _BEHIND > at:
                    made += self._piece(leg, at, place - _BEHIND, width)
                at = max(at, place + _BEHIND)
            if at < leg.length - end:
                made += self._piece(leg, at, leg.length - end, width)
        for node in self._met:
            made += self._bend(node)
        return made

    def _piece(self, leg: Leg, start: float, end: float, width: float) -> str:
        return line(self._on(leg, start), self._on(leg, end), width, "5 4" if leg.stub else "")

    def _hidden(self) -> dict[Leg, list[float]]:
        """Where legs pass behind others."""
        made: dict[Leg, list[float]] = {}
        for number, leg in enumerate(self.legs):
            a, b = self._flat[leg.a], self._flat[leg.b]
            for other in self.legs[:number]:
                if leg.a in (other.a, other.b) or leg.b in (other.a, other.b):
                    continue
                met = crossing(a, b, self._flat[other.a], self._flat[other.b])
                if met is None:
                    continue
                depths = [
                    nearness(plus(self._space[one.a], one.unit, share * one.length))
                    for one, share in zip((leg, other), met, strict=True)
                ]
                behind, share = (leg, met[0]) if depths[0] < depths[1] else (other, met[1])
                made.setdefault(behind, []).append(share * behind.length)
        return made

    def _corner(self, node: Node, leg: Leg) -> float:
        """How much of a leg its bend at a node takes."""
        if not self._bends(node):
            return 0.0
        return min(_CORNER, *(one.length / 3 for one in self._met[node]))

    def _bends(self, node: Node) -> bool:
        return len(self._met[node]) == 2 and self.subject.hookup.component(node[0]).kind.name in ELBOWS

    def _bend_ends(self, node: Node) -> list[Flat]:
        ends = []
        for leg in self._met[node]:
            by = self._corner(node, leg)
            ends.append(self._on(leg, by if leg.a == node else leg.length - by))
        return ends

    def _on_bend(self, node: Node) -> Flat:
        """The middle of a corner as it is drawn, rounded or not."""
        if not self._bends(node):
            return self._flat[node]
        (a, b), (c, d), (x, y) = *self._bend_ends(node), self._flat[node]
        return ((a + 2 * x + c) / 4, (b + 2 * y + d) / 4)

    def _bend(self, node: Node) -> str:
        if not self._bends(node):
            return ""
        at, ends = self._flat[node], self._bend_ends(node)
        d = f"M{num(ends[0][0])} {num(ends[0][1])}Q{num(at[0])} {num(at[1])} {num(ends[1][0])} {num(ends[1][1])}"
        width = _PIPE if any(leg.main for leg in self._met[node]) else _BRANCH
        return path(d, fill="none", stroke=INK, stroke_width=width, stroke_linecap="round", class_="dg-ink")

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
            self._ends(leg)
            made += self._pitch(leg)
        self._levels()
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
            self._name(component, self._on_bend(node), 3)
            return ""
        if component.kind.ports == "tee" and not component.tag and is_cut_pipe(component):
            return self._outlet(node, component, at)
        if component.kind.ports == "tee":
            self._name(component, at, 2)
            return self._outlet(node, component, at) if is_cut_pipe(component) else ""
        stem = self._stem(node, component, way)
        sign, box = skewed(
            symbol_of(component),
            at,
            way,
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
            self._name(component, middle, 2, _SYMBOL)
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
        self._name(component, shift(at, way, 4), 3)
        return made

    def _bit(self, leg: Leg, bit: Bit) -> str:
        at = self._on(leg, bit.middle)
        way = project(leg.unit)
        if bit.part.sort == "gap":
            return self._joint(leg, bit, at, way)
        component = bit.component
        if component is None or bit.part.sort == "take-out":
            return ""
        if bit.part.sort == "cut":
            return self._run(leg, bit, component, way)
        if is_cut_pipe(component) or component.kind.group == "flanges" or "nipple" in component.kind.name:
            self._name(component, at, 3)
            return ""
        flow = (-way[0], -way[1]) if _against(leg, bit) else way
        sign, box = skewed(
            symbol_of(component),
            at,
            flow,
            across(way),
            lines=places(component),
            about=self.subject.said(description(component)),
        )
        self.room.cover(covered(box, component.id))
        self._name(component, at, 3, _SYMBOL)
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
        return joint_sign(bit.joint, kind, at, way, side, False, bit.px)

    def _weld(self, weld: Weld, at: Flat) -> str:
        if weld.number in self.welds:
            return ""
        self.welds[weld.number] = weld
        self.used.setdefault("field weld" if weld.field else "shop weld")
        name = f"W{weld.number}"
        self.room.cover(covered((at[0] - 4, at[1] - 4, 8, 8), name))
        self._label(2, Label(at[0], at[1], (name,), name, at=spans(weld.origin), size=8.5, clear=4))
        return field_weld(at) if weld.field else shop_weld(at)

    def _run(self, leg: Leg, bit: Bit, component: Component, way: Flat) -> str:
        """A run of pipe: its break, its arrow, what is on it, and its label."""
        made = ""
        moves = list(_on_run(component.pipe.moves if component.pipe is not None else ()))
        for share, move in moves:
            at = self._on(leg, bit.start + (0.18 + 0.64 * share) * bit.px)
            made += self._on_pipe_sign(move, at, way)
        places_left = [0.5, 0.25, 0.75] if not moves else [0.2, 0.8, 0.5]
        if is_broken(leg):
            at = self._on(leg, bit.start + places_left[1] * bit.px)
            made += broken(at, way)
            self.used.setdefault("break")
            self.room.cover(covered((at[0] - 7, at[1] - 7, 14, 14), component.id))
        if bit.px >= _ARROW:
            at = self._on(leg, bit.start + places_left[0] * bit.px)
            made += arrow(at, way)
            self.used.setdefault("flow")
            self.room.cover(covered((at[0] - 5, at[1] - 5, 10, 10), component.id))
        self._name(component, self._on(leg, bit.start + places_left[2] * bit.px), 3)
        return made

    def _on_pipe_sign(self, move: Move, at: Flat, way: Flat) -> str:
        at_lines = spans((move.span,))
        if move.through:
            one, two = [
                project(s) for s in (axis("right"), axis("toward"), axis("up")) if s and _apart(project(s), way)
            ][:2]
            sign, corners = plate(at, one, two, 13, "3 2")
            self.room.cover(covered(bounds(corners), move.through))
            self._label(
                4,
                Label(
                    at[0],
                    at[1],
                    (self.subject.marks.get(move.span, ""), f"through {move.through}"),
                    move.through,
                    at=at_lines,
                    least=6,
                ),
            )
            return sign
        sign, box = clamp(at) if abs(way[0]) < 0.1 else hanger(at)
        self.room.cover(covered(box, move.mark))
        name = self.subject.marks.get(move.span, move.mark)
        self._label(4, Label(box[0] + box[2] / 2, box[1] + 2, (name,), move.mark, at=at_lines))
        return sign

    def _pitch(self, leg: Leg) -> str:
        pitch = leg.straight.pitch
        run = leg.run
        if not pitch or run is None:
            return ""
        way = project(leg.unit)
        down = way if pitch < 0 else (-way[0], -way[1])
        for share in (0.62, 0.4, 0.8, 0.22):
            at = self._on(leg, run.start + share * run.px)
            box = covered((at[0] - 11, at[1] - 18, 22, 12), leg.b[0])
            if self.room.is_free(box):
                break
        sign = slope(at, down, project((0.0, 0.0, 1.0)))
        self.room.cover(box)
        word = "falls" if pitch < 0 else "rises"
        self._label(4, Label(at[0], at[1] - 12, (f"{word} {length_text(abs(pitch))} per ft",), leg.b[0]))
        return sign

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
        corners = [self._space[leg.a]]
        for way in ways:
            corners.append(plus(corners[-1], way, times))
        flat = [project(at) for at in corners]
        made = ""
        words = ("run", "set", "roll")
        for n, (start, end) in enumerate(pairwise(flat)):
            made += line(start, end, 0.8, "4 2.5")
            self.room.draw(Stroke(*start, *end))
            length = leg.aside[n][1]
            text = f"{words[n]} {length_text(length) if length is not None else 'not measured'}"
            self._label(1, Label((start[0] + end[0]) / 2, (start[1] + end[1]) / 2, (text,), leg.b[0]))
        for share in (0.2, 0.4, 0.6, 0.8):
            made += line(_between(flat[0], flat[1], share), _between(flat[0], flat[2], share), 0.5, soft=True)
        if len(flat) > 3:
            made += line(flat[0], flat[2], 0.8, "4 2.5")
        return made

    # -- names --------------------------------------------------------------------------------------------------------

    def _name(self, component: Component, at: Flat, rank: int, clear: float = 0.0) -> None:
        """The label of a component: its item number, its tag, what else is to be known at the place itself."""
        if component.id in self._numbered:
            return
        self._numbered.add(component.id)
        items = self.subject.items.numbers.get(component.id, ())
        lines = [component.tag] if component.tag else []
        if component.kind.group == "fittings" and "reduc" in component.kind.name:
            sizes = sorted({end.size for end in component.ends.values()}, key=lambda size: -size.rank)
            lines.append(" x ".join(size.label for size in sizes))
        cut = self._cut_of.get(component.id)
        if cut is not None and cut not in self._cut_said and (component.pipe is not None or self._alone(cut)):
            self._cut_said.add(cut)
            piece = self._pieces[cut]
            lines.append(f"P{cut}  {length_text(piece.length)}")
        for number, item in enumerate(items or ("",)):
            own = tuple(lines) if number == 0 else ()
            self._label(rank, Label(at[0], at[1], own, component.id, item, places(component), clear=clear))

    def _alone(self, cut: int) -> bool:
        """Whether a piece of pipe has no run of its own: it is then named at its outlet."""
        return all(component.pipe is None for component in self._pieces[cut].components)

    def _ends(self, leg: Leg) -> None:
        for node, beyond, at_end in ((leg.a, leg.before, 0.0), (leg.b, leg.beyond, leg.length)):
            x, y = self._on(leg, at_end)
            if beyond:
                text = "joins what is drawn there" if beyond == "itself" else f"to {beyond}"
                self._label(2, Label(x, y, (text,), node[0], least=4))
        if leg.stub:
            x, y = self._flat[leg.b]
            self._label(2, Label(x, y, (f"{leg.stub}",), leg.b[0]))
            return
        for node in (leg.a, leg.b):
            component = self.subject.hookup.component(node[0])
            if component.kind.ports in ("coil", "main") and node in (leg.straight.a, leg.straight.b):
                name = f"main {component.tag}" if component.kind.ports == "main" else f"coil {component.tag} {node[1]}"
                x, y = self._flat[node]
                self._label(
                    0, Label(x, y, (name, self._level(node)), component.id, at=places(component), least=8, bold=True)
                )

    def _level(self, node: Node) -> str:
        measured = self.subject.hookup.measured
        if measured is None or measured.islands.get(node) != 0:
            return ""
        return elevation(measured.marks[node][2])

    def _levels(self) -> None:
        """Levels at both ends of what rises or falls, each said once along the way."""
        last = ""
        for leg in self.legs:
            if not leg.main or leg.stub or not leg.unit[2]:
                continue
            for node in (leg.a, leg.b):
                text = self._level(node)
                if text and text != last and self.subject.hookup.component(node[0]).kind.ports not in ("coil", "main"):
                    x, y = self._flat[node]
                    self._label(5, Label(x, y, (text,), node[0], least=6))
                    last = text


def elevation(up: Fraction) -> str:
    """A level from the bench mark.

    >>> elevation(Fraction(-18)), elevation(Fraction(0))
    ('EL -1 ft 6 in', 'EL 0')
    """
    return f"EL {'+' if up > 0 else ''}{length_text(up)}" if up else "EL 0"


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


def _on_run(moves: Sequence[Move]) -> list[tuple[float, Move]]:
    """What is on a run of pipe, with the share of the run that lies before it; lengths not given count alike. What
    stands close together is drawn apart."""
    ways = [_given(move) for move in moves if not (move.mark or move.through)]
    known = [length for length in ways if length is not None]
    usual = sum(known) / len(known) if known else 1.0
    total = sum(usual if length is None else length for length in ways) or 1.0
    made: list[tuple[float, Move]] = []
    before = 0.0
    for move in moves:
        if move.mark or move.through:
            made.append((max(before / total, made[-1][0] + _STEP if made else 0.0), move))
        else:
            length = _given(move)
            before += usual if length is None else length
    last = max(made[-1][0], 1.0) if made else 1.0
    return [(share / last, move) for share, move in made]


#: The least part of a run between two things on it.
_STEP = 0.22


def _given(move: Move) -> float | None:
    length = move.legs[0].length if move.legs else move.length
    return None if length is None else float(length)
