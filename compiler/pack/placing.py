"""Where the isometrics of a hookup stand in the book: how large, on which way of the page, how many on it.

The letters of a figure are 9 px, 6.75 points at full size; nothing is set so small that they come out below 6 points
as long as a page can help it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from ..drawing.iso_bill import SmallTable
from ..drawing.iso_sheet import Isometric
from .letters import wide

#: Points of a CSS pixel, and the least scale of a figure, the largest of one that shares a page, and of all.
PX, _LEAST, _USUAL, _MOST = 0.75, 6 / 6.75, 0.95, 1.15
#: Between two columns and between what stands below each other, points.
_GUTTER, _BETWEEN = 16.0, 12.0
#: Parts of a page's width that a column can take: a third is two, a half three.
_PARTS = 6
#: How high what the first page of a hookup begins with is, headings and two notes of a line; one more note and one more
#: line of one, and the letters of notes; points. What takes more of a page than that share has it alone.
_FIRST, _NOTE, _NOTE_LINE, _NOTE_LETTERS, _SHARE = 80.0, 12.5, 10.0, 8.5, 0.5
#: How high what stands over a figure is: a line of its title, one of the text about it, points.
_TITLE, _ABOUT, _ABOUT_LETTERS = 12.0, 8.0, 7.0
#: The small tables: letters, blank beside a cell's text in letter sizes, height of a row, of one more line in it, and
#: of title and heads.
LETTERS, INSET_X = 7.0, 0.35
_ROW, _LINE, _HEADS = 8.6, 6.9, 24.0
_APART = 18.0


@dataclass(frozen=True, slots=True)
class SetTable:
    """A small table with the widths of its columns, and how high it comes out, points."""

    table: SmallTable
    widths: tuple[float, ...]
    high: float


@dataclass(frozen=True, slots=True)
class Placed:
    """What stands at a place of a page, from its upper left corner in points: the figure at a scale (0: the tables
    alone) and the tables below it, in `rows` of tables side by side."""

    drawing: Isometric
    x: float
    y: float
    width: float
    scale: float
    rows: tuple[tuple[SetTable, ...], ...]


@dataclass(slots=True)
class Page:
    """A page, upright or on its side. `ends`: how far each part of its width is taken, from the top."""

    upright: bool
    ends: list[float]
    placed: list[Placed] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Block:
    """An isometric, or only its tables, set so many parts wide."""

    drawing: Isometric
    parts: int
    scale: float
    rows: tuple[tuple[SetTable, ...], ...]
    high: float


def place(drawings: Iterable[Isometric], room: tuple[float, float], notes: Sequence[str] = ()) -> list[Page]:
    """The isometrics of a hookup on pages: lines first, then spools, each on the first page that has room for it.

    `room`: width and height of what is printed of a page on its side, points. `notes` stand below the headings of the
    first page; where they are many that page has nothing else.
    """
    top = _first(notes, room)
    pages: list[Page] = []
    if top > _SHARE * room[1]:
        pages.append(Page(False, [room[1]] * _PARTS))
    later: list[_Block] = []  # tables that found no room below their figure
    found = sorted(drawings, key=lambda drawing: drawing.is_spool)
    for drawing in found:
        block, upright = _block(drawing, room, 0.0 if pages else top)
        if drawing.is_spool:
            _put_all(later, pages, room, top)
        _put(block, pages, room, upright, top)
        if not block.rows:
            later.extend(_tables_alone(drawing, room))
    _put_all(later, pages, room, top)
    return pages


def _first(notes: Sequence[str], room: tuple[float, float]) -> float:
    """How much the headings and notes of the first page take, whichever way it stands."""
    lines = [math.ceil(wide(note) * _NOTE_LETTERS / room[1] * 1.05) for note in notes]
    more = max(len(notes) - 2, 0) * _NOTE + sum(max(count - 1, 0) for count in lines) * _NOTE_LINE
    return _FIRST + more


def _put_all(blocks: list[_Block], pages: list[Page], room: tuple[float, float], first: float) -> None:
    for block in blocks:
        _put(block, pages, room, False, first)
    blocks.clear()


def _put(block: _Block, pages: list[Page], room: tuple[float, float], upright: bool, first: float) -> None:
    """Onto the first page with room for it, or one more; the very first begins with `first` points of other things."""
    width, height = (room[1], room[0]) if upright else room
    if not upright:
        for page in pages:
            if page.upright:
                continue
            y, at = min((max(page.ends[at : at + block.parts]), at) for at in range(_PARTS - block.parts + 1))
            if y + block.high <= height:
                _take(page, block, at, y, width)
                return
    top = 0.0 if pages else first
    pages.append(Page(upright, [top] * _PARTS))
    _take(pages[-1], block, 0, top, width)


def _take(page: Page, block: _Block, at: int, y: float, width: float) -> None:
    step = (width + _GUTTER) / _PARTS
    page.placed.append(Placed(block.drawing, at * step, y, block.parts * step - _GUTTER, block.scale, block.rows))
    page.ends[at : at + block.parts] = [y + block.high + _BETWEEN] * block.parts


def _block(drawing: Isometric, room: tuple[float, float], first: float) -> tuple[_Block, bool]:
    """As narrow as its letters allow; a wide one over the whole page, on its side or upright, whichever is larger.

    `first`: how much of the page is taken on top."""
    for parts in (2, 3):
        width = (room[0] + _GUTTER) * parts / _PARTS - _GUTTER
        scale = _scale(drawing, width, room[1] * 0.7, _USUAL)
        if scale >= _LEAST:
            items, *others = _small(drawing, width)
            rows: tuple[tuple[SetTable, ...], ...] = ((items,), tuple(others)) if others else ((items,),)
            high = _high(drawing, width, scale, rows)
            if high <= room[1] - first:
                return _Block(drawing, parts, scale, rows, high), False
    on_side = _scale(drawing, room[0], room[1] - first, _MOST)
    upright = _scale(drawing, room[1], room[0] - first, _MOST) > 1.05 * on_side
    width, height = (room[1], room[0]) if upright else room
    rows = (tuple(_small(drawing, width)),)
    free = height - first - _high(drawing, width, 0.0, ())
    scale = _scale(drawing, width, free - _tables_high(rows), 1.0)
    if scale < _LEAST:
        rows, scale = (), _scale(drawing, width, free, _MOST)
    return _Block(drawing, _PARTS, scale, rows, _high(drawing, width, scale, rows)), upright


def _tables_alone(drawing: Isometric, room: tuple[float, float]) -> Iterator[_Block]:
    """The tables side by side; long ones in parts that go on a page."""
    most = int((room[1] - _TITLE - _HEADS) / (_ROW + _LINE))
    longest = max(len(table.rows) for table in drawing.tables)
    whole = (tuple(_small(drawing, room[0])),)
    if _TITLE + _tables_high(whole) <= room[1]:
        yield _Block(drawing, _PARTS, 0.0, whole, _TITLE + _tables_high(whole))
        return
    for start in range(0, longest, most):
        tables = [replace(table, rows=table.rows[start : start + most]) for table in drawing.tables]
        some = replace(drawing, tables=tuple(table for table in tables if table.rows))
        rows = (tuple(_small(some, room[0])),)
        yield _Block(drawing, _PARTS, 0.0, rows, _TITLE + _tables_high(rows))


def _scale(drawing: Isometric, width: float, height: float, most: float) -> float:
    """The scale at which a figure fills a room."""
    figure = drawing.figure or drawing
    return min(most, width / (figure.width * PX), max(height, 1.0) / (figure.height * PX))


def _high(drawing: Isometric, width: float, scale: float, rows: tuple[tuple[SetTable, ...], ...]) -> float:
    """About how high a block is: title, what it is of, figure, tables."""
    lines = math.ceil(wide(drawing.title, True) * 9.5 / width * 1.05)
    about = math.ceil(wide(drawing.about) * _ABOUT_LETTERS / width * 1.1)
    figure = drawing.figure or drawing
    return lines * _TITLE + about * _ABOUT + 8 + figure.height * PX * scale + _tables_high(rows)


def _tables_high(rows: tuple[tuple[SetTable, ...], ...]) -> float:
    return sum(max(one.high for one in row) for row in rows)


def _small(drawing: Isometric, width: float) -> list[SetTable]:
    """Its tables: the first beside the others where the page is wide, else over the whole width."""
    natural = [_natural(table) for table in drawing.tables]
    others = sum(sum(widths) + _APART for widths in natural[1:])
    room = width - others if sum(natural[0]) + others <= width or width > 400 else width
    made = []
    for number, (table, widths) in enumerate(zip(drawing.tables, natural, strict=True)):
        least = max(range(len(widths)), key=lambda at: widths[at])
        if number == 0 and sum(widths) > room:
            widths[least] = max(widths[least] - (sum(widths) - room), 60.0)
        made.append(SetTable(table, tuple(widths), _table_high(table, widths)))
    return made


def _natural(table: SmallTable) -> list[float]:
    """How wide each column is with every cell in one line."""
    columns = zip(*(row.cells for row in table.rows), strict=True) if table.rows else [()] * len(table.heads)
    return [
        (max(wide(head, True), *map(wide, cells), 0.0) + 2 * INSET_X + 0.2) * LETTERS
        for head, cells in zip(table.heads, columns, strict=True)
    ]


def _table_high(table: SmallTable, widths: list[float]) -> float:
    high = _HEADS
    for row in table.rows:
        lines = max(
            math.ceil(wide(text) * LETTERS / (width - 2 * INSET_X * LETTERS) * (1.0 if width < 60 else 1.02))
            for text, width in zip(row.cells, widths, strict=True)
        )
        high += _ROW + (max(lines, 1) - 1) * _LINE
    return high
