"""Free room on a sheet: what covers it, and where the nearest place for one more label is.

The sheet is taken in small squares, so that asking whether a box is free is quick: a row of squares is one number with
a bit for each. A square that is touched counts as covered, which keeps things a little apart.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache
from math import floor

from .svg import Box, Stroke

_SQUARE = 3.0
#: How far to the left of the figure labels may go, pixels.
_AROUND = 1200.0
#: How far off a place is tried, pixels; beyond, steps grow until there is one.
_RINGS = (4.0, 8.0, 13.0, 20.0, 28.0, 38.0, 50.0, 66.0, 86.0, 112.0, 146.0)
#: Directions in which a label is tried, and how far its middle then goes to that side of its point.
_WAYS = tuple(
    (cos, sin, max(-1.0, min(1.0, 1.6 * cos)) / 2, max(-1.0, min(1.0, 1.6 * sin)) / 2)
    for angle in range(-90, 270, 20)
    for cos, sin in [(math.cos(math.radians(angle)), math.sin(math.radians(angle)))]
)
#: How many squares a line may run along a thing before that counts as crossing it once more.
_UNDER_COVER = 6
#: What a leader costs that crosses a thing or a label, in pixels of way.
_CROSSED, _LABEL_CROSSED = 18.0, 220.0


class Room:
    """What covers a sheet whose figure begins at `left`; labels find room all around it."""

    def __init__(self, left: float) -> None:
        self._left = left - _AROUND
        self._taken: dict[int, int] = defaultdict(int)  # the squares with something in them, by row
        self._labels: dict[int, int] = defaultdict(int)  # those with a label
        self.boxes: list[Box] = []
        self.thin: list[tuple[Stroke, Box | None]] = []  # leaders, lines of dimensions; with the text they belong to

    def cover(self, box: Box) -> None:
        """Something lies there."""
        self.boxes.append(box)
        rows, mask = self._squares(box)
        for row in rows:
            self._taken[row] |= mask
            self._labels[row] = self._labels[row] | mask if box.kind == "label" else self._labels[row] & ~mask

    def draw(self, stroke: Stroke) -> None:
        """A line runs there."""
        x, y, dx, dy, steps = self._steps(stroke)
        for n in range(steps + 1):
            self._taken[floor(y + n * dy)] |= 1 << floor(x + n * dx)

    def lead(self, stroke: Stroke, text: Box | None = None) -> None:
        """A thin line runs there: a leader or one of a dimension, that belongs to a text."""
        self.thin.append((stroke, text))
        self.draw(stroke)

    def is_free(self, box: Box) -> bool:
        """Whether nothing lies or runs there."""
        rows, mask = self._squares(box)
        return box.x >= self._left and not any(self._taken[row] & mask for row in rows)

    def _squares(self, box: Box) -> tuple[range, int]:
        """The rows that a box touches, and its columns as bits."""
        first = max(int((box.x - self._left) // _SQUARE), 0)
        mask = (2 << int((box.x + box.width - self._left) // _SQUARE) - first) - 1 << first
        return range(int(box.y // _SQUARE), int((box.y + box.height) // _SQUARE) + 1), mask

    def crossed(
        self, stroke: Stroke, thing: float, label: float, enough: float = math.inf, starts: bool = False
    ) -> tuple[float, int]:
        """What a line costs, and how many things it crosses: `thing` for each, `label` more for each label. What it
        begins in does not count, but for a label if it `starts` there. One that crosses anything is followed no further
        than to a cost of `enough`."""
        x, y, dx, dy, steps = self._steps(stroke)
        taken, labels = self._taken, self._labels
        cost, things, since = 0.0, 0, 0
        under, under_label = True, not starts and bool(labels[floor(y)] >> floor(x) & 1)
        for n in range(steps + 1):
            row, column = floor(y + n * dy), floor(x + n * dx)
            if not taken[row] >> column & 1:
                under = under_label = False
                since = n
                continue
            if not under or n - since > _UNDER_COVER:
                things += 1
                cost += thing
                since = n
            was, under, under_label = under_label, True, bool(labels[row] >> column & 1)
            if under_label and not was:
                things += 1
                cost += label
            if cost >= enough and things:
                break
        return cost, things

    def _steps(self, stroke: Stroke) -> tuple[float, float, float, float, int]:
        """A line in squares: where it begins, one step of its way, and how many there are; none passes over a square
        by more than a corner."""
        x1, x2 = max(stroke.x1, self._left), max(stroke.x2, self._left)
        dx, dy = x2 - x1, stroke.y2 - stroke.y1
        steps = max(1, math.ceil(math.hypot(dx, dy) / (0.9 * _SQUARE)))
        x, y = (x1 - self._left) / _SQUARE, stroke.y1 / _SQUARE
        return x, y, dx / _SQUARE / steps, dy / _SQUARE / steps, steps

    def beside(
        self, points: Sequence[tuple[float, float]], width: float, height: float, of: str, least: float = 0.0
    ) -> tuple[Box, Stroke]:
        """The best free place for a label near one of some points, and the leader to it. Nothing is put there."""
        rings = [ring + least for ring in _RINGS]
        cost, best = math.inf, None
        while best is None:
            for ring in rings:
                for x, y in points:
                    if ring < cost:  # else nothing that far off can be better
                        cost, best = self._at(x, y, ring, width, height, cost) or (cost, best)
            rings = [ring * 1.4 for ring in rings[-4:]]
        left, top, leader = best
        return Box(left, top, width, height, "label", of), leader

    def _at(
        self, x: float, y: float, ring: float, width: float, height: float, most: float
    ) -> tuple[float, tuple[float, float, Stroke]] | None:
        """The best place at one distance with what it costs, if that is less than `most`."""
        best: tuple[float, float, Stroke] | None = None
        taken, edge, half, middle = self._taken, self._left, width / 2, height / 2
        for right, across, below, down in _tried(ring, width, height):
            left, top = x + right + across - half, y + below + down - middle
            first, upper, lower = floor((left - edge) / _SQUARE), floor(top / _SQUARE), floor((top + height) / _SQUARE)
            if first < 0:
                continue
            mask = (2 << floor((left + width - edge) / _SQUARE) - first) - 1 << first
            if taken[upper] & mask or taken[lower] & mask:
                continue  # the quickest way to know, and it mostly will do
            if any(taken[n] & mask for n in range(upper + 1, lower)):
                continue
            leader = Stroke(x, y, max(left, min(x, left + width)), max(top, min(y, top + height)))
            cost, things = self.crossed(leader, _CROSSED, _LABEL_CROSSED, most - ring)
            if ring + cost < most:
                most, best = ring + cost, (left, top, leader)
            if not things:
                break
        return (most, best) if best is not None else None


@lru_cache(maxsize=10_000)
def _tried(ring: float, width: float, height: float) -> tuple[tuple[float, float, float, float], ...]:
    """Where labels of a size are tried at one distance: how far from the point and from there their middle lies, to
    the right and below."""
    return tuple((cos * ring, across * width, sin * ring, down * height) for cos, sin, across, down in _WAYS)
