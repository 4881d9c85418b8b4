"""Free room on a sheet: what covers it, and where the nearest place for one more label is.

The sheet is taken in small squares, so that asking whether a box is free is quick. A square that is touched counts as
covered, which keeps things a little apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from .svg import Box, Stroke

_SQUARE = 3.0
_THING, _LABEL = 1, 2
#: How far to each side of the figure labels may go, pixels.
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
    """What covers a sheet whose figure lies between `left` and `right`; labels find room all around it."""

    def __init__(self, left: float, right: float) -> None:
        self._left = left - _AROUND
        self._columns = int((right + _AROUND - self._left) // _SQUARE)
        self._rows: dict[int, bytearray] = {}
        self.boxes: list[Box] = []

    def _across(self, box: Box) -> tuple[int, int]:
        """The columns of a box, the last one excluded."""
        first = int((box.x - self._left) // _SQUARE)
        return max(first, 0), int((box.x + box.width - self._left) // _SQUARE) + 1

    def _row(self, row: int) -> bytearray:
        found = self._rows.get(row)
        if found is None:
            found = self._rows[row] = bytearray(self._columns)
        return found

    def cover(self, box: Box) -> None:
        """Something lies there."""
        self.boxes.append(box)
        first, last = self._across(box)
        last = min(last, self._columns)
        marks = bytes([_LABEL if box.kind == "label" else _THING]) * max(last - first, 0)
        for row in range(int(box.y // _SQUARE), int((box.y + box.height) // _SQUARE) + 1):
            self._row(row)[first:last] = marks

    def draw(self, stroke: Stroke) -> None:
        """A line runs there."""
        for row, column in self._along(stroke):
            if 0 <= column < self._columns and not self._row(row)[column]:
                self._row(row)[column] = _THING

    def is_free(self, box: Box) -> bool:
        """Whether nothing lies or runs there."""
        first, last = self._across(box)
        if box.x < self._left or last > self._columns:
            return False
        for row in range(int(box.y // _SQUARE), int((box.y + box.height) // _SQUARE) + 1):
            marks = self._rows.get(row)
            if marks is not None and any(marks[first:last]):
                return False
        return True

    def crossed(self, stroke: Stroke) -> tuple[int, int]:
        """How many labels a line would cross and how many things in all; what it begins in does not count."""
        labels = things = 0
        before, since = _LABEL, 0
        for number, (row, column) in enumerate(self._along(stroke)):
            marks = self._rows.get(row)
            now = marks[column] if marks is not None and 0 <= column < self._columns else 0
            if now and (not before or number - since > _UNDER_COVER):
                things, since = things + 1, number
            if not now:
                since = number
            labels += now == _LABEL and before != _LABEL
            before = now
        return labels, things

    def _along(self, stroke: Stroke) -> list[tuple[int, int]]:
        """The squares that a line runs through, in order, as row and column."""
        dx, dy = stroke.x2 - stroke.x1, stroke.y2 - stroke.y1
        steps = max(1, math.ceil(math.hypot(dx, dy) / (0.9 * _SQUARE)))
        x, y = (stroke.x1 - self._left) / _SQUARE, stroke.y1 / _SQUARE
        dx, dy = dx / _SQUARE / steps, dy / _SQUARE / steps
        return [(math.floor(y + n * dy), math.floor(x + n * dx)) for n in range(steps + 1)]

    def beside(
        self, points: Sequence[tuple[float, float]], width: float, height: float, of: str, least: float = 0.0
    ) -> tuple[Box, Stroke]:
        """The best free place for a label near one of some points, and the leader to it. Nothing is put there."""
        rings = [ring + least for ring in _RINGS]
        best: tuple[float, Box, Stroke] | None = None
        while True:
            for ring in rings:
                if best is not None and best[0] <= ring:
                    break
                for point in points:
                    found = self._at(point, ring, width, height, of)
                    if found is not None and (best is None or found[0] < best[0]):
                        best = found
            if best is not None:
                return best[1], best[2]
            rings = [ring * 1.4 for ring in rings[-4:]]

    def _at(
        self, point: tuple[float, float], ring: float, width: float, height: float, of: str
    ) -> tuple[float, Box, Stroke] | None:
        """The best place at one distance, with what it costs."""
        x, y = point
        best: tuple[float, Box, Stroke] | None = None
        for cos, sin, across, down in _WAYS:
            left = x + cos * ring + across * width - width / 2
            top = y + sin * ring + down * height - height / 2
            box = Box(left, top, width, height, "label", of)
            if not self.is_free(box):
                continue
            leader = Stroke(x, y, max(left, min(x, left + width)), max(top, min(y, top + height)))
            labels, things = self.crossed(leader)
            cost = ring + _CROSSED * things + _LABEL_CROSSED * labels
            if best is None or cost < best[0]:
                best = (cost, box, leader)
            if not things:
                break
        return best
