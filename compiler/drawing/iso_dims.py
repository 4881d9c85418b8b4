"""Dimensions of an isometric: a line beside each straight, from centre to centre, with its length.

ISO 6412-2 and ISO 129-1 (from memory): dimension lines run along the pipe, projection lines along another axis.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from .iso_axes import Flat, axis, project, shift
from .iso_legs import Leg, Node
from .iso_symbols import line
from .room import Room
from .svg import INK, PAPER, Box, Stroke, element, plain, text_width
from .wording import Wording

SIZE = 9.5
_HEIGHT = 12.0
_AWAY = (26.0, 36.0, 46.0, 58.0, 72.0, 90.0)
_SHARES = (0.5, 0.36, 0.64)
_FREE, _OVER = 5.0, 4.0
_SIDES = ("up", "down", "right", "left", "toward", "away")
#: What a crossing costs, in pixels of distance: of the line of the dimension, of one that leads to it, of a label.
_LINE_CROSSED, _LED_CROSSED, _LABEL_CROSSED = 22.0, 10.0, 120.0
#: A dimension that costs so much, more than a label, is left out.
_MOST = _LABEL_CROSSED + 1.0
#: What it is worth that a dimension stands in one row with the one before it.
_IN_ROW = 14.0


@dataclass(slots=True)
class Dimensions:
    """Puts dimensions onto a sheet, one after the other. `body`: what has been drawn."""

    room: Room
    flat: Mapping[Node, Flat]
    wording: Wording
    body: list[str] = field(default_factory=list)
    _last: tuple[Flat, float] | None = None
    _last_way: Flat | None = None

    def put(self, leg: Leg) -> bool:
        """Dimension a leg; False where there is no room beside it."""
        assert leg.size is not None
        a, b = self.flat[leg.a], self.flat[leg.b]
        way = project(leg.unit)
        text = self.wording.of(leg.size)
        if leg.match_b:  # the dimension line ends at the match line, the length does not
            text += " c-c"
        elif leg.match_a:  # stands on the other sheet: an auxiliary dimension
            text = f"({text} c-c)"
        width = text_width(text, SIZE) + 4
        most, best = _MOST, None
        for heading in _SIDES:
            unit = axis(heading)
            assert unit is not None
            side = project(unit)
            if abs(way[0] * side[1] - way[1] * side[0]) < 0.6:
                continue
            for away in _AWAY:
                if most <= away - _IN_ROW:
                    break
                c, d = shift(a, side, away), shift(b, side, away)
                box = self._free(c, d, width, leg)
                if box is None:
                    continue
                cost = away - (_IN_ROW if self._in_row(way, side, away) else 0.0)
                for each, start, end in (
                    (_LINE_CROSSED, c, d),
                    (_LED_CROSSED, shift(a, side, _FREE), c),
                    (_LED_CROSSED, shift(b, side, _FREE), d),
                ):
                    if cost < most:
                        cost += self.room.crossed(Stroke(*start, *end), each, _LABEL_CROSSED, most - cost, True)[0]
                if cost < most:
                    most, best = cost, (side, away, box)
        if best is None:
            return False
        side, away, box = best
        self._draw(leg, text, side, away, box)
        self._last, self._last_way = (side, away), way
        return True

    def _in_row(self, way: Flat, side: Flat, away: float) -> bool:
        return self._last == (side, away) and self._last_way is not None and _same(way, self._last_way)

    def _free(self, c: Flat, d: Flat, width: float, leg: Leg) -> Box | None:
        for share in _SHARES:
            x, y = c[0] + share * (d[0] - c[0]), c[1] + share * (d[1] - c[1])
            box = Box(x - width / 2, y - _HEIGHT / 2, width, _HEIGHT, "label", leg.b[0])
            if self.room.is_free(box):
                return box
        return None

    def _draw(self, leg: Leg, text: str, side: Flat, away: float, box: Box) -> None:
        a, b = self.flat[leg.a], self.flat[leg.b]
        c, d = shift(a, side, away), shift(b, side, away)
        made = line(c, d, 0.7)
        self.room.lead(Stroke(*c, *d), box)
        way = project(leg.unit)
        for start, end in ((a, c), (b, d)):
            free, over = shift(start, side, _FREE), shift(end, side, _OVER)
            made += line(free, over, 0.6, soft=True)
            self.room.lead(Stroke(*free, *over), box)
            slant = ((way[0] + side[0]) * 3.2, (way[1] + side[1]) * 3.2)
            made += line((end[0] - slant[0], end[1] - slant[1]), (end[0] + slant[0], end[1] + slant[1]), 1.1)
        made += element("rect", "", x=box.x, y=box.y, width=box.width, height=box.height, fill=PAPER, class_="dg-paper")
        made += element(
            "text",
            plain(text),
            x=box.x + box.width / 2,
            y=box.y + box.height / 2 + SIZE * 0.36,
            font_size=SIZE,
            text_anchor="middle",
            class_="dg-ink-fill",
            fill=INK,
        )
        spans = " ".join(dict.fromkeys(f"{span.file}:{span.line}" for span in leg.straight.origin))
        self.body.append(element("g", made, class_="dg-dimension", data_at=spans))
        self.room.cover(box)


def _same(a: Flat, b: Flat) -> bool:
    return abs(a[0] - b[0]) + abs(a[1] - b[1]) < 1e-6 or abs(a[0] + b[0]) + abs(a[1] + b[1]) < 1e-6
