"""The pipes of an isometric: where they run on the sheet, which pass behind others, and their corners."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.hookup import Hookup
from .iso_axes import Flat, nearness, plus, project, shift
from .iso_layout import crossing, lay_out
from .iso_legs import ELBOWS, Bit, Leg, Node
from .iso_symbols import line
from .svg import INK, Stroke, num, path

_PIPE, _BRANCH = 2.4, 1.6
_CORNER = 9.0
#: How much of a pipe is left out on either side of one before it.
_BEHIND = 6.0


class Ways:
    """Legs laid out. `space` and `flat`: the places of their nodes; `met`: the legs at each."""

    def __init__(self, legs: Sequence[Leg], hookup: Hookup) -> None:
        self._legs, self._hookup = legs, hookup
        self.space = lay_out(legs)
        self.flat = {node: project(at) for node, at in self.space.items()}
        self.met: dict[Node, list[Leg]] = {}
        for leg in legs:
            self.met.setdefault(leg.a, []).append(leg)
            self.met.setdefault(leg.b, []).append(leg)

    def on(self, leg: Leg, at: float) -> Flat:
        """A place on a leg, so far along it."""
        return shift(self.flat[leg.a], project(leg.unit), at)

    def along(self, leg: Leg, bit: Bit) -> tuple[Flat, ...]:
        """Points of a piece that its label may point at."""
        return tuple(self.on(leg, bit.start + share * bit.px) for share in (0.35, 0.65))

    def strokes(self) -> list[Stroke]:
        """The legs as straight lines."""
        return [Stroke(*self.flat[leg.a], *self.flat[leg.b]) for leg in self._legs]

    def drawn(self) -> str:
        """All pipes, with what lies behind interrupted and corners rounded."""
        hidden = self._hidden()
        made = ""
        for leg in self._legs:
            start, end = (self._corner(node, leg) for node in (leg.a, leg.b))
            at = start
            width = _PIPE if leg.main else _BRANCH
            for place in sorted(hidden.get(leg, ())):
                if place - _BEHIND > at:
                    made += self._piece(leg, at, place - _BEHIND, width)
                at = max(at, place + _BEHIND)
            if at < leg.length - end:
                made += self._piece(leg, at, leg.length - end, width)
        for node in self.met:
            made += self._bend(node)
        return made

    def _piece(self, leg: Leg, start: float, end: float, width: float) -> str:
        return line(self.on(leg, start), self.on(leg, end), width, "5 4" if leg.stub else "")

    def _hidden(self) -> dict[Leg, list[float]]:
        """Where legs pass behind others."""
        made: dict[Leg, list[float]] = {}
        for number, leg in enumerate(self._legs):
            a, b = self.flat[leg.a], self.flat[leg.b]
            for other in self._legs[:number]:
                if leg.a in (other.a, other.b) or leg.b in (other.a, other.b):
                    continue
                met = crossing(a, b, self.flat[other.a], self.flat[other.b])
                if met is None:
                    continue
                depths = [
                    nearness(plus(self.space[one.a], one.unit, share * one.length))
                    for one, share in zip((leg, other), met, strict=True)
                ]
                behind, share = (leg, met[0]) if depths[0] < depths[1] else (other, met[1])
                made.setdefault(behind, []).append(share * behind.length)
        return made

    def _corner(self, node: Node, leg: Leg) -> float:
        """How much of a leg its bend at a node takes."""
        if not self._bends(node):
            return 0.0
        return min(_CORNER, *(one.length / 3 for one in self.met[node]))

    def _bends(self, node: Node) -> bool:
        return len(self.met[node]) == 2 and self._hookup.component(node[0]).kind.name in ELBOWS

    def _bend_ends(self, node: Node) -> list[Flat]:
        ends = []
        for leg in self.met[node]:
            by = self._corner(node, leg)
            ends.append(self.on(leg, by if leg.a == node else leg.length - by))
        return ends

    def on_bend(self, node: Node) -> Flat:
        """The middle of a corner as it is drawn, rounded or not."""
        if not self._bends(node):
            return self.flat[node]
        (a, b), (c, d), (x, y) = *self._bend_ends(node), self.flat[node]
        return ((a + 2 * x + c) / 4, (b + 2 * y + d) / 4)

    def _bend(self, node: Node) -> str:
        if not self._bends(node):
            return ""
        at, ends = self.flat[node], self._bend_ends(node)
        d = f"M{num(ends[0][0])} {num(ends[0][1])}Q{num(at[0])} {num(at[1])} {num(ends[1][0])} {num(ends[1][1])}"
        width = _PIPE if any(leg.main for leg in self.met[node]) else _BRANCH
        return path(d, fill="none", stroke=INK, stroke_width=width, stroke_linecap="round", class_="dg-ink")
