"""How a list is set: its columns, what stands above them and what in a second line of a row, widths and letters.

No column is narrower than its longest word; what is the same in every row is said once, above the list; what the page
has no room for follows in a second line of each row.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..model.table import Column, Table
from ..report.tables_text import heading, parted, texts_of, used_columns
from .letters import wide

#: What is never broken at the end of a line, as a regular expression that Python and typst read alike: sizes, lengths
#: and other numbers with their unit, and words with a hyphen or a stroke in them, such as tags.
WHOLE = (
    r"DN \d+(?: x \d+)*|-?\d[\d/.-]* ft(?: \d[\d/-]* in\b)?|-?\d[\d/.-]* x \d[\d/-]*"
    r"|-?\d[\d/.-]* (?:in|mm|m|lb|kg|psi|bar|gal|L|gpm|degF|degC)\b|[^\s/,-]{1,24}[/-][^\s,]{1,24}"
)
_WHOLE = re.compile(WHOLE)
#: Where the longest words may be broken all the same, so that no word makes a column wider than a fifth of the page.
_LONG = re.compile(r"[^\s-]{40,}")
_EVERY = 20
_ZERO_WIDTH = "\u200b"

#: A column to write in is at least so wide: 25 mm, in points.
HAND = 25 / 25.4 * 72
#: Letters of a list in points, the largest first, and how many lines the cells of a row may take.
_LETTERS = (8.5, 8.0, 7.5, 7.0)
_LINES = 3
#: Blank on both sides of a column's text, and above and below it, in letter sizes.
INSET_X, INSET_Y = 0.5, 0.34
_LEADING = 1.15
#: Broken lines are never filled: a part of the longest word stays empty in each.
_RAGGED = 0.6
#: A list of so many rows at most, and so many points high, is kept on one page.
_ROWS_KEPT, _HIGH_KEPT = 25, 400.0
#: A longer list is set in two columns of the page, so many points apart, where that makes it so much lower.
GUTTER, _LOWER = 20.0, 0.7
#: The fewest columns that stay in the first line of a row.
_FEWEST = 4


@dataclass(frozen=True, slots=True)
class SetRow:
    """The texts of a row's columns, and those of its second line: heading and text."""

    cells: tuple[str, ...]
    more: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """A list laid out. `above`: heading and text of what is the same in every row. `widths` are in points.

    `sums` stand below the rows, empty where nothing is added up. `keep`: it is short enough to stay on one page.
    `two`: it is long and so narrow that two columns fit on a page.
    """

    above: tuple[tuple[str, str], ...]
    columns: tuple[Column, ...]
    second: tuple[Column, ...]
    widths: tuple[float, ...]
    letters: float
    rows: tuple[SetRow, ...]
    sums: tuple[str, ...]
    keep: bool
    two: bool

    @property
    def heads(self) -> tuple[str, ...]:
        """The headings of the columns."""
        return tuple(map(heading, self.columns))


@dataclass(slots=True)
class _Texts:
    """A column with its texts. `needs`: how wide it must be for its cells to take one, two ... lines, and last the
    width of its longest word; in letter sizes."""

    column: Column
    texts: list[str]
    needs: list[float]

    def need(self, lines: int) -> float:
        """How wide it must be so that its cells take so many lines."""
        return self.needs[min(lines, len(self.needs)) - 1]


def settle(table: Table, room: float) -> Setting:
    """Lay out a list with rows on a page `room` points wide."""
    above, kept = apart(table)
    _, cells, sums = texts_of(table, kept)
    columns = [
        _texts(column, [*map(_breakable, texts)])
        for column, texts in zip(kept, zip(*cells, *sums, strict=True), strict=True)
    ]
    second: list[_Texts] = []
    while True:
        found = _fit(columns, room)
        if found is not None or len(columns) <= _FEWEST:
            break
        second.append(columns.pop(_widest(columns)))
    letters, widths = found or _squeezed(columns, room)
    order = {column.key: number for number, column in enumerate(table.columns)}
    second.sort(key=lambda one: order[one.column.key])
    rows = tuple(
        SetRow(
            tuple(one.texts[number] for one in columns),
            tuple((heading(one.column), one.texts[number]) for one in second if one.texts[number]),
        )
        for number in range(len(table.rows) + len(sums))
    )
    high = sum(_high(row, widths, letters) for row in rows)
    keep = len(rows) <= _ROWS_KEPT and high <= _HIGH_KEPT
    two = False
    if not keep and not second and not any(one.column.by_hand for one in columns):
        half = _fit(columns, (room - GUTTER) / 2)
        if half is not None and sum(_high(row, half[1], half[0]) for row in rows) / 2 < _LOWER * high:
            two, (letters, widths) = True, half
    return Setting(
        above,
        tuple(one.column for one in columns),
        tuple(one.column for one in second),
        tuple(widths),
        letters,
        rows[: len(table.rows)],
        rows[-1].cells if sums else (),
        keep,
        two,
    )


def apart(table: Table) -> tuple[tuple[tuple[str, str], ...], list[Column]]:
    """What is the same in every row, to stand above the list, and the other columns. Of a list to write in nothing is
    taken out: what is done and signed for stands in its row."""
    columns = used_columns(table)
    return ((), columns) if any(column.by_hand for column in columns) else parted(table)


def _texts(column: Column, texts: list[str]) -> _Texts:
    head = max(wide(part, True) for part in _parts(heading(column)))
    sizes = {text: (wide(text), _longest(text)) for text in set(texts)}
    word = max(head, *(longest for _, longest in sizes.values()))
    needs = []
    for lines in range(1, _LINES + 1):
        found = sorted(_width_of(*sizes[text], lines) for text in texts)
        # one long cell in many makes no column wide
        needs.append(max(word, found[-1] if len(found) < 10 else found[int(0.95 * (len(found) - 1))]))
    return _Texts(column, texts, [*needs, word])


def _width_of(line: float, longest: float, lines: int) -> float:
    """How wide a text must be set to take so many lines."""
    return line if lines == 1 else min(line, line / lines + _RAGGED * longest)


def _fit(columns: Sequence[_Texts], room: float) -> tuple[float, list[float]] | None:
    """The letters and widths that have room for every word in the lowest rows of few lines; None if there are none."""
    best: tuple[float, float, int] | None = None
    for letters in _LETTERS:
        for lines in range(1, _LINES + 1):
            if sum(_widths(columns, letters, lines)) <= room:
                best = min(best or (math.inf, 0.0, 0), ((lines + 2 * INSET_Y) * letters, -letters, lines))
                break
    if best is None:
        return None
    _, letters, lines = best
    return -letters, _spread(columns, _widths(columns, -letters, lines), -letters, room)


def _spread(columns: Sequence[_Texts], widths: list[float], letters: float, room: float) -> list[float]:
    """What is left of the room, given to the columns whose cells are broken."""
    wanted = [max(0.0, a - b) for a, b in zip(_widths(columns, letters, 1), widths, strict=True)]
    share = min(1.0, (room - sum(widths)) / (sum(wanted) or 1.0))
    return [width + share * more for width, more in zip(widths, wanted, strict=True)]


def _squeezed(columns: Sequence[_Texts], room: float) -> tuple[float, list[float]]:
    """The smallest letters, and smaller ones where the words leave no choice."""
    letters = _LETTERS[-1]
    widths = _widths(columns, letters, _LINES + 1)
    scale = min(1.0, room / sum(widths))
    return letters * scale, _spread(columns, [width * scale for width in widths], letters * scale, room)


def _widths(columns: Sequence[_Texts], letters: float, lines: int) -> list[float]:
    made = []
    for one in columns:
        width = (one.need(lines) + 2 * INSET_X + 0.1) * letters
        made.append(max(width, HAND) if one.column.by_hand else width)
    return made


def _widest(columns: Sequence[_Texts]) -> int:
    """Which column is moved to the second line: the one of text that takes the most room, never the first."""

    def takes(number: int) -> float:
        one = columns[number]
        return -1.0 if one.column.by_hand else one.need(3) * (0.5 if one.column.align == "right" else 1.0)

    return max(range(1, len(columns)), key=takes)


def _high(row: SetRow, widths: Sequence[float], letters: float) -> float:
    """About how high a row is, in points."""
    room = [width / letters - 2 * INSET_X for width in widths]
    lines = max(_lines(text, width) for text, width in zip(row.cells, room, strict=True))
    if row.more:
        said = sum(wide(head) + wide(text) + 2 for head, text in row.more)
        lines += math.ceil(said / max(sum(room), 1.0))
    return (lines * _LEADING + 2 * INSET_Y) * letters


def _lines(text: str, width: float) -> int:
    one = wide(text)
    return 1 if one <= width else math.ceil(one / width * 1.1)


def _parts(text: str) -> list[str]:
    """What a text is not broken inside of."""
    made, at = [], 0
    for match in _WHOLE.finditer(text):
        made += text[at : match.start()].replace(_ZERO_WIDTH, " ").split()
        made.append(match[0])
        at = match.end()
    return [*made, *text[at:].replace(_ZERO_WIDTH, " ").split()] or [""]


def _longest(text: str) -> float:
    return max(map(wide, _parts(text)))


def _breakable(text: str) -> str:
    """A text whose longest words may be broken."""
    return _LONG.sub(lambda m: _ZERO_WIDTH.join(m[0][n : n + _EVERY] for n in range(0, len(m[0]), _EVERY)), text)


def in_line(pairs: Iterable[tuple[str, str]]) -> str:
    """Headings and texts in one line.

    >>> in_line([("Units", "RTU-1"), ("Line", "supply to CC")])
    'Units: RTU-1 · Line: supply to CC'
    """
    return " · ".join(f"{head}: {text}" for head, text in pairs)
