"""Small tables on a drawing's sheet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .iso_bill import SmallTable
from .svg import BOLD, INK, Box, element, text_width, words, wrapped

SIZE, STEP = 9.0, 11.0
_GAP, _PAD, _WIDEST = 12.0, 3.0, 215.0
_HEAD = 10.5


@dataclass(frozen=True, slots=True)
class Set:
    """A table laid out from 0,0 on: `lines` of text of every row and cell, the widths of the columns."""

    table: SmallTable
    widths: tuple[float, ...]
    lines: tuple[tuple[tuple[str, ...], ...], ...]

    @property
    def width(self) -> float:
        """Of all columns, and of the title."""
        title = text_width(self.table.title, _HEAD) * BOLD
        return max(sum(self.widths) + _GAP * (len(self.widths) - 1), title)

    @property
    def height(self) -> float:
        """Of title, heads and rows."""
        return 3 * STEP + 8 + sum(max(map(len, row)) * STEP + _PAD for row in self.lines)


@lru_cache(maxsize=4096)
def _wrapped(text: str, width: float) -> tuple[str, ...]:
    """The lines of a cell; tables of a job say the same things over and over."""
    return tuple(wrapped(text, SIZE, width, most=8)) or ("",)


@lru_cache(maxsize=4096)
def _wide(text: str) -> float:
    return text_width(text, SIZE)


def set_table(table: SmallTable) -> Set:
    """Lay a table out: columns as wide as they need to be, long ones in several lines."""
    columns = [[_wide(head) * BOLD, *(_wide(row.cells[n]) for row in table.rows)] for n, head in enumerate(table.heads)]
    widths = tuple(min(max(column), _WIDEST) for column in columns)
    lines = tuple(
        tuple(_wrapped(text, width) for text, width in zip(row.cells, widths, strict=True)) for row in table.rows
    )
    return Set(table, widths, lines)


def draw(found: Set, x: float, y: float) -> tuple[str, list[Box]]:
    """The table with its upper left corner at x, y; and the boxes of its texts."""
    table = found.table
    boxes = [Box(x, y, text_width(table.title, _HEAD) * BOLD, STEP + 2, "label", table.title)]
    made = words([table.title], x, y + _HEAD, _HEAD, STEP, font_weight="bold", class_="dg-ink-fill", fill=INK)
    at = y + STEP + 6
    made += _row(found, x, at, [(head,) for head in table.heads], boxes, bold=True)
    at += STEP + 2
    made += element("line", "", x1=x, y1=at, x2=x + found.width, y2=at, stroke=INK, stroke_width=0.7, class_="dg-ink")
    at += 3
    for row, cells in zip(table.rows, found.lines, strict=True):
        made += element("g", _row(found, x, at, list(cells), boxes), class_="dg-row", data_at=row.at)
        at += max(map(len, cells)) * STEP + _PAD
    return made, boxes


def _row(found: Set, x: float, y: float, cells: list[tuple[str, ...]], boxes: list[Box], bold: bool = False) -> str:
    made, at = "", x
    for n, (lines, width) in enumerate(zip(cells, found.widths, strict=True)):
        right = n in found.table.right
        made += words(
            lines,
            at + width if right else at,
            y + SIZE * 0.9,
            SIZE,
            STEP,
            text_anchor="end" if right else "",
            class_="dg-ink-fill",
            fill=INK,
            font_weight="bold" if bold else "",
        )
        for number, line in enumerate(lines):
            if line:
                wide = min(_wide(line) * (BOLD if bold else 1.0), width)
                boxes.append(
                    Box(at + width - wide if right else at, y + number * STEP, wide, STEP, "label", found.table.title)
                )
        at += width + _GAP
    return made
