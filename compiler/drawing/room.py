"""Free room on a sheet: what covers it, and where the nearest place for one more thing is."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .svg import Box, Stroke

_CELL = 32.0
#: How far off a place is tried, pixels; beyond, steps grow until there is one.
_RINGS = (5.0, 10.0, 16.0, 24.0, 33.0, 44.0, 58.0, 75.0, 96.0, 122.0, 155.0)
_ANGLES = tuple(math.radians(angle) for angle in range(-90, 270, 20))
#: What a leader costs that crosses a thing, in pixels of way.
_CROSSED = 18.0


class Room:
    """Boxes and strokes on a sheet, found again by place."""

    def __init__(self) -> None:
        self._boxes: dict[tuple[int, int], list[Box]] = {}
        self._strokes: dict[tuple[int, int], list[Stroke]] = {}
        self.boxes: list[Box] = []

    def cover(self, box: Box) -> None:
        """Something lies there."""
        self.boxes.append(box)
        for cell in _cells(box.x, box.y, box.x + box.width, box.y + box.height):
            self._boxes.setdefault(cell, []).append(box)

    def draw(self, stroke: Stroke) -> None:
        """A line runs there."""
        for cell in _along(stroke):
            self._strokes.setdefault(cell, []).append(stroke)

    def is_free(self, box: Box) -> bool:
        """Whether nothing lies or runs there."""
        x, y, right, bottom = box.x, box.y, box.x + box.width, box.y + box.height
        for cell in _cells(x, y, right, bottom):
            for other in self._boxes.get(cell, ()):
                if other.x < right and x < other.x + other.width and other.y < bottom and y < other.y + other.height:
                    return False
            for stroke in self._strokes.get(cell, ()):
                if _runs_through(stroke, box):
                    return False
        return True

    def crossed(self, stroke: Stroke, but: Sequence[str] = ()) -> tuple[int, int]:
        """How many labels and how many other things a line would cross; not those of the owners `but`."""
        labels: set[Box] = set()
        others: set[Box | Stroke] = set()
        for cell in _along(stroke):
            for box in self._boxes.get(cell, ()):
                if box.of not in but and _runs_through(stroke, box):
                    (labels if box.kind == "label" else others).add(box)
            others.update(s for s in self._strokes.get(cell, ()) if _cross(stroke, s))
        return len(labels), len(others)

    def beside(
        self, x: float, y: float, width: float, height: float, of: str, least: float = 0.0
    ) -> tuple[Box, Stroke]:
        """The best free place for a label near a point, and the leader from the point to it. Nothing is put there."""
        rings = [ring + least for ring in _RINGS]
        best: tuple[float, Box, Stroke] | None = None
        while True:
            for ring in rings:
                if best is not None and best[0] <= ring:
                    return best[1], best[2]
                for angle in _ANGLES:
                    cos, sin = math.cos(angle), math.sin(angle)
                    mid_x = x + cos * ring + _toward(cos) * width / 2
                    mid_y = y + sin * ring + _toward(sin) * height / 2
                    box = Box(mid_x - width / 2, mid_y - height / 2, width, height, "label", of)
                    if not self.is_free(box):
                        continue
                    leader = Stroke(x, y, *_nearest(x, y, box))
                    labels, others = self.crossed(leader, (of,))
                    cost = ring + _CROSSED * others + 12 * _CROSSED * labels
                    if best is None or cost < best[0]:
                        best = (cost, box, leader)
                    if cost == ring:
                        return box, leader
            if best is not None:
                return best[1], best[2]
            rings = [ring * 1.4 for ring in rings[-4:]]


def _toward(part: float) -> float:
    """Which way a box lies from its point along an axis: fully to one side, or less where the angle is steep."""
    return max(-1.0, min(1.0, 1.6 * part))


def _nearest(x: float, y: float, box: Box) -> tuple[float, float]:
    return (max(box.x, min(x, box.x + box.width)), max(box.y, min(y, box.y + box.height)))


def _cells(x1: float, y1: float, x2: float, y2: float) -> list[tuple[int, int]]:
    rows = range(int(y1 // _CELL), int(y2 // _CELL) + 1)
    return [(column, row) for column in range(int(x1 // _CELL), int(x2 // _CELL) + 1) for row in rows]


def _along(stroke: Stroke) -> set[tuple[int, int]]:
    """The cells that a line runs through, and no many others."""
    length = math.hypot(stroke.x2 - stroke.x1, stroke.y2 - stroke.y1)
    pieces = max(1, math.ceil(length / _CELL))
    made: set[tuple[int, int]] = set()
    dx, dy = (stroke.x2 - stroke.x1) / pieces, (stroke.y2 - stroke.y1) / pieces
    for n in range(pieces):
        x, y = stroke.x1 + n * dx, stroke.y1 + n * dy
        made.update(_cells(min(x, x + dx), min(y, y + dy), max(x, x + dx), max(y, y + dy)))
    return made


def _runs_through(stroke: Stroke, box: Box) -> bool:
    """Whether a line runs through the inside of a box (Liang and Barsky's clipping)."""
    x, y, right, bottom = box.x, box.y, box.x + box.width, box.y + box.height
    if (stroke.x1 <= x and stroke.x2 <= x) or (stroke.x1 >= right and stroke.x2 >= right):
        return False
    if (stroke.y1 <= y and stroke.y2 <= y) or (stroke.y1 >= bottom and stroke.y2 >= bottom):
        return False
    low, high = 0.0, 1.0
    for start, step, near, far in (
        (stroke.x1, stroke.x2 - stroke.x1, box.x + 0.01, box.x + box.width - 0.01),
        (stroke.y1, stroke.y2 - stroke.y1, box.y + 0.01, box.y + box.height - 0.01),
    ):
        if abs(step) < 1e-9:
            if not near <= start <= far:
                return False
            continue
        one, two = (near - start) / step, (far - start) / step
        low, high = max(low, min(one, two)), min(high, max(one, two))
        if low > high:
            return False
    return True


def _cross(a: Stroke, b: Stroke) -> bool:
    ux, uy, vx, vy = a.x2 - a.x1, a.y2 - a.y1, b.x2 - b.x1, b.y2 - b.y1
    turn = ux * vy - uy * vx
    if abs(turn) < 1e-9:
        return False
    s = ((b.x1 - a.x1) * vy - (b.y1 - a.y1) * vx) / turn
    t = ((b.x1 - a.x1) * uy - (b.y1 - a.y1) * ux) / turn
    return 0.02 < s <= 1 and 0 <= t <= 1
