"""Lists as text: columns that fit a terminal or a sheet of paper."""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from ..model.table import Column, Table, Value
from .plain import visible, width
from .runs import in_runs
from .sums import sum_row
from .values import as_text

#: Columns of characters where no terminal says otherwise: letter paper on its side, 10 characters an inch.
PAPER = 110
_GAP = "  "
#: Where a line may break: at a blank, but not beside the x of two sizes; of three, before the last one.
_BLANK = re.compile(r"(?<! x) (?!x )|(?:(?<= x \S)|(?<= x \S{2})|(?<= x \S{3})|(?<= x \S{5})) (?=x )")
#: Room for a hand on a narrow page.
_LINE = "_" * 16
#: How many columns in front may stand above their rows, and from what width on a record's fields share lines.
_GROUPED, _SEVERAL = 2, 80
#: A list of fewer rows, or of more columns (the checker's), is read from top to bottom: it is left as it is.
_MANY, _FIELDS = 6, 22
#: Stands for a blank that no line is broken at.
_HELD = "\u00a0"


def render(tables: Sequence[Table], columns: int = PAPER) -> str:
    """All lists, an empty line between two, each at most `columns` wide as far as its words allow."""
    return "\n".join("\n".join(_lines(table, columns)) + "\n" for table in tables)


def used_columns(table: Table, *, data: bool = False) -> list[Column]:
    """The columns that hold anything, or are to be filled in by hand: another empty one tells nothing on paper.

    `data`: with those that are not for paper.
    """

    def used(column: Column) -> bool:
        if column.data_only and not data:
            return False
        return column.by_hand or any(row.cells.get(column.key) not in (None, "", ()) for row in table.rows)

    return [column for column in table.columns if used(column)]


def heading(column: Column) -> str:
    """A column's heading, with the unit of its numbers unless each one carries it."""
    return f"{column.title}, {column.unit}" if column.unit not in ("", "ft-in") else column.title


def parted(table: Table) -> tuple[tuple[tuple[str, str], ...], list[Column]]:
    """Heading and text of what is the same in every row; and the columns that are left. Nothing is taken out of a list
    of few rows."""
    columns = used_columns(table)
    if len(table.rows) < _MANY:
        return (), columns
    first = table.rows[0].cells
    same = [
        c
        for c in columns
        if not c.adds_up and not c.by_hand and all(row.cells.get(c.key) == first.get(c.key) for row in table.rows)
    ]
    rest = [column for column in columns if column not in same]
    if len(rest) < 2:
        return (), columns
    return tuple((heading(c), visible(cell_text(first.get(c.key), c))) for c in same), rest


def texts_of(table: Table, columns: Sequence[Column]) -> tuple[list[str], list[list[str]], list[list[str]]]:
    """Headings, the cells of every row, and the sums where there are any."""
    cells = [[visible(cell_text(row.cells.get(c.key), c)) for c in columns] for row in table.rows]
    sums = sum_row(table, columns)
    return [heading(c) for c in columns], cells, [sums] if sums else []


def _lines(table: Table, columns: int) -> Iterator[str]:
    title = visible(table.title)
    yield title
    yield "=" * width(title)
    used = used_columns(table)
    if not table.rows:
        yield "This list has no rows."
    else:
        heads, cells, sums = texts_of(table, used)
        widths = _widths([heads, *cells, *sums], columns)
        if widths is None and len(used) <= _FIELDS:  # too wide: what is the same in every row is said once
            above, used = parted(table)
            heads, cells, sums = texts_of(table, used)
            widths = _widths([heads, *cells, *sums], columns)
            if above:
                yield from textwrap.wrap("; ".join(f"{head}: {text}" for head, text in above), columns)
                yield ""
        groups = 0  # columns in front whose values stand above the rows that have them
        if widths is None and not sums:
            groups = next((n for n in range(_GROUPED, 0, -1) if n + 1 < len(used) and _repeats(cells, n)), 0)
            widths = _widths([row[groups:] for row in (heads, *cells)], columns) if groups else None
        if widths and groups:
            yield from _in_groups(heads, cells, used, widths, groups)
        elif widths:
            yield from _grid(heads, cells, used, widths, sums)
        else:
            yield from _one_below_the_other(heads, [*cells, *sums], used, columns)
    for note in table.notes:
        yield ""
        yield from textwrap.wrap(visible(note), columns)


def cell_text(value: Value, column: Column) -> str:
    """A cell; on paper, runs of tags stand as their first and last."""
    return as_text(in_runs(value) if column.key == "tags" and isinstance(value, tuple) else value, column.unit)


def _grid(
    heads: list[str], cells: list[list[str]], columns: list[Column], widths: list[int], sums: list[list[str]]
) -> Iterator[str]:
    rule = _GAP.join("-" * w for w in widths)
    yield from _row(heads, columns, widths)
    yield rule
    for row in cells:
        yield from _row(row, columns, widths)
    for row in sums:
        yield rule
        yield from _row(row, columns, widths)


def _repeats(cells: list[list[str]], groups: int) -> bool:
    """Whether the columns in front say the same in most rows as in the row before."""
    changes = sum(a[:groups] != b[:groups] for a, b in pairwise(cells)) + 1
    return changes * 3 <= len(cells)


def _in_groups(
    heads: list[str], cells: list[list[str]], columns: list[Column], widths: list[int], groups: int
) -> Iterator[str]:
    """Rows under a line with what their first columns say."""
    yield from _row(heads[groups:], columns[groups:], widths)
    yield _GAP.join("-" * w for w in widths)
    for names, rows in groupby(cells, key=lambda row: row[:groups]):
        yield ", ".join(filter(None, names)) + ":"
        for row in rows:
            yield from _row(row[groups:], columns[groups:], widths)


def _row(texts: list[str], columns: list[Column], widths: list[int]) -> Iterator[str]:
    """One row, as many lines as its longest cell needs."""
    wrapped = [_wrap(text, w) for text, w in zip(texts, widths, strict=True)]
    for number in range(max(len(lines) for lines in wrapped)):
        parts = [
            _pad(lines[number] if number < len(lines) else "", w, column.align == "right")
            for lines, w, column in zip(wrapped, widths, columns, strict=True)
        ]
        yield _GAP.join(parts).rstrip()


def _one_below_the_other(heads: list[str], cells: list[list[str]], used: list[Column], columns: int) -> Iterator[str]:
    """For a narrow page: each row as a block of `heading: value`, with a line to write on where a hand fills it in.
    Of many short rows on a page that is not so narrow several values share a line."""
    if columns >= _SEVERAL and len(cells) >= _MANY and len(used) <= _FIELDS:
        for row in cells:
            said = [
                f"{head}: {text or _LINE}".replace(" ", _HELD)
                for head, text, column in zip(heads, row, used, strict=True)
                if text or column.by_hand
            ]
            for line in textwrap.wrap("; ".join(said), columns, subsequent_indent="    ", break_on_hyphens=False):
                yield line.replace(_HELD, " ")
        return
    for index, row in enumerate(cells):
        if index:
            yield ""
        for head, text, column in zip(heads, row, used, strict=True):
            if text or column.by_hand:
                yield from _hang(f"{head}: {text or _LINE}", columns)


def _hang(text: str, columns: int) -> list[str]:
    lines = _wrap(text, max(columns - 4, 20))
    return [lines[0], *("    " + line for line in lines[1:])]


def _widths(rows: list[list[str]], columns: int) -> list[int] | None:
    """A width for each column so that a row fits; None if not even the longest words do.

    Every column starts as wide as its longest word. What room is left goes, step by step, to the column whose cells
    lose the most lines for it.
    """
    cells = [list(column) for column in zip(*rows, strict=True)]
    wanted = [max(map(width, column)) for column in cells]
    room = columns - len(_GAP) * (len(wanted) - 1)
    if sum(wanted) <= room:
        return wanted
    widths = [max(width(word) for text in column for word in _BLANK.split(text)) for column in cells]
    room -= sum(widths)
    if room < 0:
        return None
    heights = [_Heights(column) for column in cells]
    while True:
        steps = [
            ((height(at) - height(to)) / (to - at), at - to, number)
            for number, (height, at) in enumerate(zip(heights, widths, strict=True))
            for to in range(at + 1, min(wanted[number], at + room) + 1)
        ]
        gain, less, number = max(steps, default=(0, 0, 0))
        if not gain:
            return widths
        widths[number] -= less
        room += less


class _Heights:
    """How many lines the longest cells of a column take together at a width."""

    _LOOKED_AT = 40
    #: A longer cell (the tags of a thousand units) is not broken on trial but reckoned by its length.
    _LONG = 1000

    def __init__(self, cells: list[str]) -> None:
        self._longest = sorted(Counter(cells).items(), key=lambda item: (-len(item[0]), item[0]))[: self._LOOKED_AT]
        self._known: dict[int, int] = {}

    def __call__(self, limit: int) -> int:
        if limit not in self._known:
            self._known[limit] = sum(self._lines(text, limit) * count for text, count in self._longest)
        return self._known[limit]

    def _lines(self, text: str, limit: int) -> int:
        return -(-len(text) // limit) if len(text) > self._LONG else len(_wrap(text, limit))


def _wrap(text: str, limit: int) -> list[str]:
    """Lines broken at blanks, but not inside a size like `4 x 2-1/2`; a word longer than the limit stays whole."""
    if width(text) <= limit:
        return [text]
    lines: list[str] = []
    line = ""
    for word in _BLANK.split(text):
        if line and width(line) + 1 + width(word) > limit:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line]


def _pad(text: str, to: int, right: bool) -> str:
    blanks = " " * (to - width(text))
    return blanks + text if right else text + blanks
