"""The line diagram of a hookup laid out: where every symbol, label and piece of pipe stands.

Rows run along x, outward from the coils to the mains; y grows downward. Whether the mains lie at the left or at the
right of the sheet is left to whoever draws it: both hands are this layout, one the mirror image of the other.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, islice, permutations, product
from math import ceil

from ..model.hookup import CoilPort, Component, Hookup
from .cells import (
    LETTERS,
    MARK,
    MARK_ROOM,
    STEP,
    Cell,
    Cells,
    Label,
    Mark,
    Part,
    Pipe,
    Placed,
    label,
    moved,
)
from .columns import Columns, Upright
from .on_pipe import half, room, signs
from .rows import Band, Item, Reading, Row
from .svg import BOLD, text_width, wrapped
from .symbols import Turn, named
from .wording import lettered

_BETWEEN_COLUMNS, _BETWEEN_ROWS, _BETWEEN_BANDS = 8.0, 12.0, 26.0
_SHIFT, _COIL_WIDTH, _LEAD = 34.0, 96.0, 30.0
#: The widest sheet before rows are folded, and how far rows are shortened at each try: letter landscape (10 in to print
#: on) takes it at three quarters, so that letters come out at 5.6 points or more. Common practice, no source.
_WIDEST, _SHORTER, _SHORTEST = 1280.0, 0.85, 300.0
#: How many orders of the rows between coils are tried for the fewest crossings.
_ORDERS = 6
#: How far a coil's box reaches beyond its rows, and half the gap in an upright pipe where it crosses another:
#: in all three times the longest blank of a dashed line for a service, so that it is seen in one too.
_OVER, _GAP = 16.0, 6.0
_LEAST, _PIPE = 14.0, 5.0
#: The column that all coils stand in, inward of those of the items.
_COILS = -1


#: Where a pipe meets something: its x, and the component, none for the name of a row.
_Stop = tuple[float, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class CoilBox:
    """A coil as drawn. `ports` are x and y of its connections; `labels` stand in it."""

    component: Component
    x: float
    y: float
    width: float
    height: float
    ports: tuple[tuple[float, float], ...]


@dataclass(slots=True)
class Layout:
    """What is drawn, in pixels. `uprights` are the stretches that upright pipes keep free: x, from y, to y."""

    parts: list[Part] = field(default_factory=list)
    coils: list[CoilBox] = field(default_factory=list)
    uprights: list[tuple[float, float, float]] = field(default_factory=list)
    width: float = 0.0
    height: float = 0.0
    mains_left: bool = False
    crossings: int = 0  # of upright pipes with others


def lay_out(
    hookup: Hookup,
    number: str = "*",
    marks: Mapping[str, Sequence[int]] | None = None,
    coil_notes: Mapping[str, Sequence[str]] | None = None,
    cells: Cells | None = None,
) -> Layout:
    """Lay a hookup out. `marks`: numbers of findings by component id, those of a line under `line ID`; `coil_notes`:
    more lines to stand in a coil; `cells`: those of another layout of the hookup with the same number and marks."""
    cells = cells or Cells(number, marks or {})
    longest = _WIDEST
    while True:
        made = min(
            (
                _Work(hookup, reading, cells, marks or {}, coil_notes or {}, longest).layout
                for reading in _readings(hookup)
            ),
            key=lambda layout: (layout.crossings, layout.height),
        )
        longest *= _SHORTER
        if made.width <= _WIDEST or longest < _SHORTEST:
            return made


def _readings(hookup: Hookup) -> Iterator[Reading]:
    """The hookup with the rows between and within its bands in one order after the other; the first few will do."""
    first = Reading(hookup)
    lists = [rows for band in first.bands for rows in (band.within, band.below)]
    orders = product(*(permutations(range(len(rows))) for rows in lists))
    yield first
    for order in islice(orders, 1, _ORDERS):
        reading = Reading(hookup)
        lists = [rows for band in reading.bands for rows in (band.within, band.below)]
        for rows, numbers in zip(lists, order, strict=True):
            rows[:] = [rows[n] for n in numbers]
        yield reading


class _Work:
    def __init__(
        self,
        hookup: Hookup,
        reading: Reading,
        cells: Cells,
        marks: Mapping[str, Sequence[int]],
        coil_notes: Mapping[str, Sequence[str]],
        longest: float,
    ) -> None:
        self.longest = longest  # a row that is not folded
        self.hookup, self.cells, self.marks, self.coil_notes = hookup, cells, marks, coil_notes
        self.reading = reading
        self.folds = 0
        self.layout = Layout(mains_left=self.reading.mains_left)
        self._name_rows()
        rows = [row for band in self.reading.bands for row in _rows_of(band)]
        self.columns = Columns([*rows, *self.reading.loose])
        self.rows = self.columns.rows
        for upright in self.columns.uprights:
            upright.item.leg = "up" if upright.away < upright.home else "down"
        self.cell: dict[Item, Cell] = {item: cells.cell(item, row) for row in self.rows for item in row.items}
        self.coil_text = {id(band): self._coil_text(band) for band in self.reading.bands}
        self.box_width = max((width for _, _, _, width in self.coil_text.values()), default=_COIL_WIDTH)
        self.steps = max((band.shift for band in self.reading.bands), default=0)
        self.x = self._across()
        self.y = self._down()
        self._coils()
        self._pipes()
        for item, cell in self.cell.items():
            row = self._row_number[item]
            self.layout.parts.extend(moved(part, self.x[item], self.y[row]) for part in cell.parts)

    # -- rows ---------------------------------------------------------------------------------------------------

    def _name_rows(self) -> None:
        """Every row says what it is, in a column of its own where nothing else stands."""
        for band in self.reading.bands:
            for row in (band.top, band.bottom):
                if row.info is not None:
                    self._name(row, inner=False)
            for row in (*band.within, *band.below):
                self._name(row, inner=row.sense > 0)
            for row, beside in ((band.top, band.within), (band.bottom, band.below)):
                self._fold(row, beside)
        for row in self.reading.loose:
            self._name(row, inner=True)

    def _name(self, row: Row, *, inner: bool) -> None:
        word = row.info.word if row.info is not None else ""
        row.write([self.cells.wording.size(row.sizes[not inner]), *wrapped(word, LETTERS, 72)], inner=inner, names=True)

    def _fold(self, row: Row, beside: list[Row]) -> None:
        """Fold a row that would make the sheet too wide to read on letter or A4: into pieces of about one width."""
        ends = list(accumulate(self._width(item, row) for item in row.items))
        many = ceil(ends[-1] / self.longest) if ends else 1
        cuts = {bisect(ends, ends[-1] * n / many) for n in range(1, many)}
        letters = [lettered(self.folds + n) for n in range(len(cuts))]
        self.folds += len(cuts)
        last = len(row.items) - 1 - bool(row.items and row.items[-1].corner)  # the name of the line
        for cut, letter in sorted(zip(sorted(cuts), letters, strict=True), reverse=True):
            if 0 < cut < last:
                beside.insert(0, row.folded(cut, letter))

    def _width(self, item: Item, row: Row) -> float:
        cell = self.cells.cell(item, row)
        return cell.left + cell.right + room(self.hookup, item) + _BETWEEN_COLUMNS

    # -- across -------------------------------------------------------------------------------------------------

    def _across(self) -> dict[Item, float]:
        self._row_number = {item: number for number, row in enumerate(self.rows) for item in row.items}
        columns = self.columns.column
        many = max(columns.values(), default=-1) + 1
        left, right = [0.0] * many, [0.0] * many
        for item, column in columns.items():
            left[column] = max(left[column], self.cell[item].left + room(self.hookup, item))
            right[column] = max(right[column], self.cell[item].right)
        at = self.steps * _SHIFT + self.box_width + _LEAD
        places = []
        for column in range(many):
            at += left[column]
            places.append(at)
            at += right[column] + _BETWEEN_COLUMNS
        self.main_x = at + 14.0
        self.layout.width = self.main_x + 3.0
        return {item: places[column] for item, column in columns.items()}

    # -- down ---------------------------------------------------------------------------------------------------

    def _down(self) -> list[float]:
        """The y of every row: so far below those above it that in no column they meet."""
        self.number_of = {id(row): n for n, row in enumerate(self.rows)}
        upper = {self.number_of[id(band.top)]: band for band in self.reading.bands}
        lower = {self.number_of[id(band.bottom)]: band for band in self.reading.bands}
        self.tap_cells: dict[int, list[Cell]] = {}
        below: dict[int, float] = {}  # how far down each column is taken
        y: list[float] = []
        for n, row in enumerate(self.rows):
            reach = self._reach(row)
            if n in upper:
                reach[_COILS] = (_OVER + self._taps(upper[n], "up") + _BETWEEN_BANDS / 2, _LEAST)
            if n in lower:
                reach[_COILS] = (_LEAST, _OVER + self._taps(lower[n], "down") + _BETWEEN_BANDS / 2)
            here = max([below.get(column, 0.0) + up for column, (up, _) in reach.items()], default=0.0)
            here = max(here, y[-1] + _LEAST if y else 0.0)
            if n in lower:
                here = max(here, y[self.number_of[id(lower[n].top)]] + self._inside(lower[n]))
            y.append(here)
            for column, (_, down) in reach.items():
                below[column] = max(below.get(column, 0.0), here + down + _BETWEEN_ROWS)
        self.layout.height = max(below.values(), default=_BETWEEN_ROWS) - _BETWEEN_ROWS
        return y

    def _reach(self, row: Row) -> dict[int, tuple[float, float]]:
        """How far a row reaches up and down in every column that it has something in; its pipe counts as well."""
        columns = self.columns.column
        many = max(columns.values(), default=-1) + 1
        found = {columns[item]: (self.cell[item].up, self.cell[item].down) for item in row.items}
        joints = [joint for inner in (True, False) if (joint := self.columns.joint(row, inner=inner)) is not None]
        at = [*found, *(columns[joint] for joint in joints)]
        if row.outer.kind == "main":
            label = self._main_label(row)
            half = label.height / 2 + 2.0 if label is not None else _LEAST
            found[many] = (half, half)
            at.append(many)
        first = 0 if row.inner.kind == "coil" else min(at, default=0)
        for column in range(first, max(at, default=-1) + 1):
            found.setdefault(column, (_PIPE, _PIPE))
        return found

    def _inside(self, band: Band) -> float:
        """How far the two rows of a coil must stand apart for what is written in it."""
        top, bottom, middle, _ = self.coil_text[id(band)]
        return (len(top) + len(bottom) + len(middle)) * STEP + 26.0 + self._marks_height(band)

    def _taps(self, band: Band, way: str) -> float:
        cells = [self.cells.twig(twig, 0.0, (band.coil.id,)) for twig in band.taps if twig.way == way]
        self.tap_cells.setdefault(id(band), []).extend(cells)
        return max((max(cell.up, cell.down) for cell in cells), default=0.0)

    def _marks_height(self, band: Band) -> float:
        return -(-len(self.marks.get(band.coil.id, ())) // 5) * MARK_ROOM

    # -- coils --------------------------------------------------------------------------------------------------

    def _coil_text(self, band: Band) -> tuple[list[str], list[str], list[str], float]:
        """The lines at its upper and lower connection and in the middle of a coil, and the width that they want."""
        coil = band.coil
        wide = _COIL_WIDTH * 1.6
        ports = [self._port_text(coil, row.inner.port) for row in (band.top, band.bottom)]
        middle = [self.cells.tag(coil), *wrapped(coil.service, LETTERS, wide)]
        for note in self.coil_notes.get(coil.id, ()):
            middle += wrapped(note, LETTERS, wide)
        plain = max(text_width(line, LETTERS) for line in (*ports[0], *ports[1], *middle))
        width = max(plain, text_width(middle[0], LETTERS) * BOLD) + 12.0
        return ports[0], ports[1], middle, max(_COIL_WIDTH, width)

    def _port_text(self, coil: Component, name: str) -> list[str]:
        port, end = self._port(coil, name), coil.ends.get(name)
        first = f"{name} {port.level}" if port and port.level else f"{name}, level not said"
        second = f"{port.air_side} side" if port and port.air_side else "air side not said"
        return [first, second, *([f"{self.cells.size(end.size)} {_FORMS.get(end.form, end.form)}"] if end else [])]

    def _port(self, coil: Component, name: str) -> CoilPort | None:
        return self.hookup.coils[coil.id].ports.get(name)

    def _coils(self) -> None:
        for band in self.reading.bands:
            self._coil(band)

    def _coil(self, band: Band) -> None:
        coil, parts = band.coil, self.layout.parts
        top, bottom, middle, _ = self.coil_text[id(band)]
        step = self.steps - band.shift if self.reading.mains_left else band.shift
        x, width = step * _SHIFT, self.box_width
        high, low = self.y[self.number_of[id(band.top)]], self.y[self.number_of[id(band.bottom)]]
        ports = []
        for row, y in ((band.top, high), (band.bottom, low)):
            port = self._port(coil, row.inner.port)
            entering = {"entering": 0.0, "leaving": 1.0}.get(port.air_side if port else "", 0.5)
            share = 1.0 - entering if self.reading.mains_left else entering
            ports.append((x + 12.0 + share * (width - 24.0), y))
        self.layout.coils.append(CoilBox(coil, x, high - _OVER, width, low - high + 2 * _OVER, tuple(ports)))
        centre = x + width / 2
        parts.append(label(top, centre, high + 7.0, coil.id))
        parts.append(label(bottom, centre, low - 7.0 - len(bottom) * STEP, coil.id))
        free = (high + 7.0 + len(top) * STEP, low - 7.0 - len(bottom) * STEP)
        marks = self.marks.get(coil.id, ())
        tall = len(middle) * STEP + self._marks_height(band)
        at = (free[0] + free[1] - tall) / 2
        parts.append(label(middle[:1], centre, at, coil.id, bold=True))
        parts.append(label(middle[1:], centre, at + STEP, coil.id))
        at += len(middle) * STEP + MARK + 1.0
        for start in range(0, len(marks), 5):
            some = marks[start : start + 5]
            for n, mark in enumerate(some):
                parts.append(Mark(mark, centre + (n - (len(some) - 1) / 2) * MARK_ROOM, at, coil.id))
            at += MARK_ROOM
        for cell in self.tap_cells.get(id(band), ()):
            y = high - _OVER if cell.up else low + _OVER
            parts.extend(moved(part, centre, y) for part in cell.parts)

    # -- pipes --------------------------------------------------------------------------------------------------

    def _pipes(self) -> None:
        starts = {id(box.component): box for box in self.layout.coils}
        self.extent: list[tuple[float, float]] = []
        for number, row in enumerate(self.rows):
            y = self.y[number]
            stops: list[_Stop] = []
            if row.inner.kind == "coil" and row.inner.component is not None:
                box = starts[id(row.inner.component)]
                stops.append((next(x for x, at in box.ports if at == y), (row.inner.component.id,)))
            joint = self.columns.joint(row, inner=True)
            if joint is not None:
                stops.append((self.x[joint], _ids(joint)))
            gaps = [item.between for item in row.items] + [row.tail]
            for item in row.items:
                stops.append((self.x[item], _ids(item)))
            joint = self.columns.joint(row, inner=False)
            if row.info is not None and row.outer.kind == "main" and row.outer.component is not None:
                stops.append((self.main_x, (row.outer.component.id,)))
                self._main(row, y)
            elif joint is not None:
                stops.append((self.x[joint], _ids(joint)))
            has_inner = len(stops) > len(row.items) and row.inner.kind in ("coil", "joint")
            if not has_inner:
                gaps = gaps[1:]
            self._along(row, y, stops, gaps)
            self.extent.append((stops[0][0], stops[-1][0]) if len(stops) > 1 else (0.0, 0.0))
        for upright in self.columns.uprights:
            self._upright(upright)
        for number, row in enumerate(self.rows):
            self._signs(row, self.y[number])

    def _signs(self, row: Row, y: float) -> None:
        """Put hangers, floors and walls onto the pipes of a row."""
        before = None
        joint = self.columns.joint(row, inner=True)
        if row.inner.kind == "coil":
            before = self.steps * _SHIFT + self.box_width + _LEAD
        elif joint is not None:
            before = self.x[joint] + half(self.cell[joint])
        self.layout.parts.extend(signs(self.hookup, row, y, before, self.x, self.cell, self.layout.uprights))

    def _along(self, row: Row, y: float, stops: list[_Stop], gaps: list[tuple[str, ...]]) -> None:
        """The pipe of one row from stop to stop. A name is no stop: the pieces on its two sides carry the same."""
        carried = [(*gaps[n], *stops[n][1], *stops[n + 1][1]) for n in range(len(stops) - 1)]
        for n in range(1, len(stops)):
            if not stops[n][1]:
                both = (*carried[n - 1], *(carried[n] if n < len(carried) else ()))
                carried[n - 1 : n + 1] = [both] * len(carried[n - 1 : n + 1])
                self.layout.parts.append(Pipe(stops[n][0] - 5.0, y, stops[n][0] + 5.0, y, both, row.sense))
        for n, ids in enumerate(carried):
            self.layout.parts.append(Pipe(stops[n][0], y, stops[n + 1][0], y, ids))
        if carried and row.inner.kind == "coil":
            at = self.steps * _SHIFT + self.box_width + _LEAD / 2
            self.layout.parts.append(Pipe(at - 5.0, y, at + 5.0, y, carried[0], row.sense))

    def _main(self, row: Row, y: float) -> None:
        text, main = self._main_label(row), row.outer.component
        if text is None or main is None:
            return
        self.layout.parts.append(Placed(named("main"), self.main_x, y, Turn(), main))
        made = label(text.lines, self.main_x + 8.0, y - text.height / 2, main.id, "start")
        self.layout.parts.append(made)
        right = made.x + made.width
        marks = self.marks.get(main.id, ())
        for n, mark in enumerate(marks):
            self.layout.parts.append(Mark(mark, right + MARK_ROOM * (n + 0.6), y, main.id))
        self.layout.width = max(self.layout.width, right + MARK_ROOM * len(marks) + 4.0)

    def _main_label(self, row: Row) -> Label | None:
        main = row.outer.component
        if row.outer.kind != "main" or main is None:
            return None
        lines = [
            f"main {self.cells.tag(main)}",
            self.cells.wording.size(row.sizes[1]),
            *wrapped(main.service, LETTERS, 84),
        ]
        return label(lines, 0.0, 0.0, main.id, "start")

    def _upright(self, upright: Upright) -> None:
        """An upright pipe, with a gap wherever it crosses the pipe of a row."""
        x, home, away = self.x[upright.item], self.y[upright.home], self.y[upright.away]
        row = self.rows[upright.away]
        first = self.columns.joint(row, inner=True) is upright.item
        gap = (row.items[0].between if first else row.tail) if row.items else row.tail
        ids = (*(gap if first else gap[::-1]), *_ids(upright.item))
        low, high = upright.span
        crossed = [self.y[n] for n in range(low + 1, high) if self.extent[n][0] - 1.0 < x < self.extent[n][1] + 1.0]
        self.layout.crossings += len(crossed)
        stops = [min(home, away), *(y + side for y in crossed for side in (-_GAP, _GAP)), max(home, away)]
        for n in range(0, len(stops), 2):
            self.layout.parts.append(Pipe(x, stops[n], x, stops[n + 1], ids))
        self.layout.uprights.append((x, stops[0], stops[-1]))


def _ids(item: Item) -> tuple[str, ...]:
    """The components that pipes end at where an item stands; none at the name of a row."""
    if item.component is not None:
        return (item.component.id,)
    return item.goes_on[1:] if item.goes_on is not None else item.corner


_FORMS = {"flange": "flanged", "cup": "solder", "tube": "solder", "groove": "grooved", "bevel": "butt weld"}


def _rows_of(band: Band) -> list[Row]:
    """The rows of a band from the top down: those that join its upper row to itself come first."""
    return [band.top, *band.within, band.bottom, *band.below]
