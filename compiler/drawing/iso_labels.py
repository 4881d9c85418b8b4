"""Labels of an isometric: item numbers in rings, tags, weld numbers, levels; put where there is room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

from .iso_axes import Flat
from .iso_symbols import line
from .room import Room
from .svg import BOLD, INK, PAPER, Box, Stroke, element, plain, text_width, words

SIZE, STEP = 9.5, 11.5
_RING = 8.0
#: A leader is drawn from this distance on.
_LED = 8.0


class Rank(IntEnum):
    """What finds its room first."""

    WELD = 0
    END = 1
    LENGTH = 2
    BODY = 3
    ON_PIPE = 4
    PIECE = 5
    LEVEL = 6


@dataclass(frozen=True, slots=True)
class Label:
    """Text at a point of the sheet; `item` stands in a ring before it. `of`: whose it is; `at`: its places in files."""

    x: float
    y: float
    lines: tuple[str, ...]
    of: str
    item: str = ""
    at: str = ""
    least: float = 0.0  # how far off it has to be
    size: float = SIZE
    bold: bool = False
    also: tuple[Flat, ...] = ()  # other points at which its leader may end
    clear: float = 0.0  # how far from the point its leader begins

    @property
    def width(self) -> float:
        """Of text and ring."""
        text = max((text_width(text, self.size) for text in self.lines), default=0.0) * (BOLD if self.bold else 1.0)
        return text + (2 * _RING + 1 if self.item else 0.0) + (3.0 if self.item and self.lines else 0.0) + 2.0

    @property
    def height(self) -> float:
        """Of text and ring."""
        return max(len(self.lines) * STEP + 1.0, 2 * _RING + 1 if self.item else 0.0)


def put(room: Room, labels: Iterable[Label]) -> str:
    """Find room for labels, one after the other, and draw them with their leaders."""
    leaders, made = "", ""
    for label in labels:
        box, leader = room.beside(((label.x, label.y), *label.also), label.width, label.height, label.of, label.least)
        room.cover(box)
        length = ((leader.x2 - leader.x1) ** 2 + (leader.y2 - leader.y1) ** 2) ** 0.5
        if length > _LED:
            room.lead(leader, box)
            share = min(label.clear / length, 0.9)
            x = leader.x1 + share * (leader.x2 - leader.x1)
            y = leader.y1 + share * (leader.y2 - leader.y1)
            leaders += line((x, y), (leader.x2, leader.y2), 0.6, soft=True)
            if not label.clear:
                leaders += element("circle", "", cx=x, cy=y, r=1.3, fill=INK, class_="dg-ink-fill")
        made += _drawn(label, box)
    return leaders + made


def _drawn(label: Label, box: Box) -> str:
    x, inside = box.x + 1.0, ""
    middle = box.y + box.height / 2
    if label.item:
        inside += element(
            "circle", "", cx=x + _RING, cy=middle, r=_RING - 0.5, fill=PAPER, stroke=INK, class_="dg-paper dg-ink"
        )
        inside += element(
            "text",
            plain(label.item),
            x=x + _RING,
            y=middle + 3.0,
            font_size=9 if len(label.item) < 3 else 8,
            text_anchor="middle",
            class_="dg-ink-fill",
            fill=INK,
        )
        x += 2 * _RING + 3.0
    top = middle - len(label.lines) * STEP / 2
    inside += words(
        label.lines,
        x,
        top + label.size * 0.95,
        label.size,
        STEP,
        class_="dg-ink-fill",
        fill=INK,
        font_weight="bold" if label.bold else "",
    )
    return element("g", inside, class_="dg-label", data_at=label.at)


def stroke(a: tuple[float, float], b: tuple[float, float]) -> Stroke:
    """A line between two places."""
    return Stroke(a[0], a[1], b[0], b[1])
