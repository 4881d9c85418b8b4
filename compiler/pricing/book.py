"""One book: its tables found by their headings, its rows read, and what cannot be used told with the reason."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from pathlib import PurePath

from .figures import NoNumber, Sign, number, sign_of
from .keys import name_key, size_key, unit_key
from .sheets import Cell, Odd, Unusable, sheets_of

#: The tables of a book: the columns that make one, the column with its number first, and those it may have beside.
TABLES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "prices": (("price", "item", "unit"), ("size", "spec", "currency")),
    "hours": (("hours", "operation", "unit"), ("size", "detail", "where")),
    "rates": (("crew rate",), ("trade", "currency")),
    "factors": (("times", "factor"), ("operation", "where", "use")),
}
#: A column of any table that is not read.
_NOTE = "note"
_WORDS = {word for needed, more in TABLES.values() for word in (*needed, *more)}
_CURRENCY = re.compile(r"[^\W\d_]{1,12}\Z")
#: Words that our lists have as units of measure, so that money cannot be counted in them.
_TAKEN = frozenset({"in", "ft", "lb", "psi", "gal", "gpm", "m", "mm", "kg", "bar", "L", "W", "h"})
_DECIMAL = {"decimal point": ".", "decimal comma": ","}
_YES, _NO = ("yes", "always"), ("no", "")
WHERE = ("shop", "field")


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in a book that is not used as it stands. `grave`: something of the book is missing for it."""

    book: str
    sheet: str
    row: int
    column: str
    what: str
    grave: bool = True


@dataclass(frozen=True, slots=True)
class Entry:
    """A price or hours as the book says it, for `scale` units of our lists; `per` is the book's own word for those."""

    value: Decimal
    per: str
    scale: Fraction
    place: str

    @property
    def each(self) -> Fraction:
        """For one unit of our lists."""
        return Fraction(self.value) / self.scale


@dataclass(frozen=True, slots=True)
class Factor:
    """`name` times so much, on some operations or on all (empty), in the shop, in the field or both (empty)."""

    name: str
    times: Decimal
    operation: str
    where: str
    always: bool


@dataclass(slots=True)
class Book:
    """What one book holds. `prices` and `hours` are in the order of their rows, with the key of each.

    Keys: (item, size, spec, unit) and (operation, size, detail, where, unit), empty where the book leaves it open.
    """

    name: str
    prices: list[tuple[tuple[str, ...], Entry]] = field(default_factory=list)
    hours: list[tuple[tuple[str, ...], Entry]] = field(default_factory=list)
    rates: list[tuple[str, Entry]] = field(default_factory=list)
    factors: list[Factor] = field(default_factory=list)
    currency: str = ""
    remarks: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def empty(self) -> bool:
        """Whether nothing could be read from it."""
        return not (self.prices or self.hours or self.rates or self.factors)


@dataclass(slots=True)
class _Table:
    """A table as it is found: which column is where, and its rows by number."""

    kind: str
    sheet: str
    columns: dict[str, int]
    rows: list[tuple[int, tuple[Cell, ...]]] = field(default_factory=list)


def read_book(name: str, data: bytes) -> Book:
    """The book of that name. Never raises because of what it holds; a book of which nothing can be read is `empty`."""
    book = Book(PurePath(name).name)
    sign: Sign = ""
    tables: list[_Table] = []
    try:
        for sheet in sheets_of(data, _is_heading):
            if sheet.remark:
                book.problems.append(Problem(book.name, sheet.name, 1, "", sheet.remark, grave=False))
            for one in _tables(book, sheet.name, sheet.lines):
                if isinstance(one, _Table):
                    tables.append(one)
                elif one:
                    sign = one
    except Unusable as error:
        book.problems.append(Problem(book.name, "", 0, "", str(error)))
    sign = sign or _sign(tables)
    for table in tables:
        _READERS[table.kind](book, table, sign)
    if book.empty and not any(problem.grave for problem in book.problems):
        book.problems.append(Problem(book.name, "", 0, "", "holds no rows"))
    return book


# -- tables and their headings -----------------------------------------------------------------------------------


def _headings(cells: Sequence[Cell]) -> list[str]:
    return [name_key(cell.replace("_", " ")) if isinstance(cell, str) and len(cell) < 40 else "" for cell in cells]


def _kind(headings: Sequence[str]) -> str:
    """The table that a row of headings begins, empty if it is none."""
    found = set(headings)
    return next((kind for kind, (needed, _) in TABLES.items() if found.issuperset(needed)), "")


def _is_heading(cells: Sequence[Cell]) -> bool:
    return bool(_kind(_headings(cells)))


def _tables(book: Book, sheet: str, lines: Iterable[object]) -> Iterator[_Table | Sign]:
    """The tables of a sheet, each when it is whole, and the decimal sign where a remark names it."""
    from .sheets import Line

    table: _Table | None = None
    near: tuple[int, int, set[str]] | None = None  # of the row that is most like headings: likeness, number, words
    for line in lines:
        assert isinstance(line, Line)
        if line.trouble:
            book.problems.append(Problem(book.name, sheet, line.number, "", line.trouble))
            continue
        first = next((cell for cell in line.cells if cell not in (None, "")), None)
        if first is None:
            continue
        if isinstance(first, str):
            if first.lstrip().startswith("#"):
                yield _remark(book, line.cells)
                continue
            if table is None or name_key(first.replace("_", " ")) in _WORDS:
                headings = _headings(line.cells)
                kind = _kind(headings)
                if kind:
                    if table is not None:
                        yield table
                    table = _begun(book, sheet, line.number, kind, headings)
                    continue
                like = set(headings) & _WORDS
                if table is None and (near is None or len(like) > near[0]):
                    near = (len(like), line.number, like)
        if table is not None:
            table.rows.append((line.number, line.cells))
    if table is not None:
        yield table
    elif near is not None:
        book.problems.append(_no_table(book, sheet, near))


def _begun(book: Book, sheet: str, row: int, kind: str, headings: list[str]) -> _Table:
    needed, more = TABLES[kind]
    read = (*needed, *more)
    for word in dict.fromkeys(h for h in headings if h):
        if word not in read and word != _NOTE:
            what = f"the column is not read; a table of {kind} has {', '.join(read)}"
            book.problems.append(Problem(book.name, sheet, row, word, what, grave=False))
        elif word != _NOTE and headings.count(word) > 1:
            what = "two columns have this heading; neither is read"
            book.problems.append(Problem(book.name, sheet, row, word, what))
    columns = {word: headings.index(word) for word in read if headings.count(word) == 1}
    return _Table(kind, sheet, columns)


def _no_table(book: Book, sheet: str, near: tuple[int, int, set[str]]) -> Problem:
    _, row, like = near
    wanted = max(TABLES, key=lambda kind: len(like & {*TABLES[kind][0], *TABLES[kind][1]}))
    missing = [word for word in TABLES[wanted][0] if word not in like]
    if not like:
        ways = "; ".join(f"{kind}: {', '.join(needed)}" for kind, (needed, _) in TABLES.items())
        return Problem(book.name, sheet, row, "", f"no row holds the headings of a table ({ways}), so nothing is read")
    what = f"this row is most like headings of a table of {wanted}, but has no {', no '.join(missing)}; nothing is read"
    return Problem(book.name, sheet, row, "", what)


def _remark(book: Book, cells: Sequence[Cell]) -> Sign:
    """Keep a remark; what it says of decimals."""
    text = ", ".join(str(cell).strip() for cell in cells if isinstance(cell, str | int | float) and cell != "")
    text = text.lstrip("# ").rstrip()
    plain = name_key(text)
    if plain.startswith("currency "):
        book.currency = book.currency or text.split(None, 1)[1].strip()
        return ""
    if plain in _DECIMAL:
        return "," if plain == "decimal comma" else "."
    if text:
        book.remarks.append(text)
    return ""


def _sign(tables: Sequence[_Table]) -> Sign:
    """The decimal sign that the numbers of a book show; none where they show both."""
    shown: set[Sign] = set()
    for table in tables:
        place = table.columns.get(TABLES[table.kind][0][0])
        if place is not None:
            for _, cells in table.rows:
                if place < len(cells):
                    cell = cells[place]
                    if isinstance(cell, str):
                        shown.add(sign_of(cell))
    shown.discard("")
    return shown.pop() if len(shown) == 1 else ""


# -- rows --------------------------------------------------------------------------------------------------------


class _Refused(Exception):
    """A row that is not used: which column, and why."""


class _Row:
    """One row of a table while it is read."""

    def __init__(self, book: Book, table: _Table, number: int, cells: tuple[Cell, ...], sign: Sign) -> None:
        self._book, self._table, self._cells, self._sign = book, table, cells, sign
        self.number = number

    @property
    def place(self) -> str:
        """`prices.csv:12`, with its sheet where there are several: `hours.xlsx Welding:12`."""
        sheet = f" {self._table.sheet}" if self._table.sheet else ""
        return f"{self._book.name}{sheet}:{self.number}"

    def cell(self, column: str) -> Cell:
        """A cell, None where the table or the row does not have it."""
        place = self._table.columns.get(column)
        return self._cells[place] if place is not None and place < len(self._cells) else None

    def text(self, column: str, needed: bool = False) -> str:
        """A cell as text; what is no text, or empty where it is needed, refuses the row."""
        cell = self.cell(column)
        if isinstance(cell, Odd):
            raise self.refused(column, f"holds {cell.what}")
        if isinstance(cell, float) and cell == int(cell):
            cell = int(cell)
        text = "" if cell is None else str(cell).strip()
        if needed and not text:
            raise self.refused(column, "is empty")
        if len(text) > 1000:
            raise self.refused(column, "holds more than 1000 characters")
        return text

    def number_in(self, column: str) -> Decimal:
        """A cell as a number; what is none refuses the row."""
        try:
            return number(self.cell(column), self._sign)
        except NoNumber as error:
            raise self.refused(column, error.why) from None

    def entry(self, column: str) -> tuple[Entry, str]:
        """The number of a row for its unit, and that unit as our lists name it."""
        per = self.text("unit", needed=True)
        unit, scale = unit_key(per)
        return Entry(self.number_in(column), per, scale, self.place), unit

    def where(self) -> str:
        """Shop, field or neither."""
        word = name_key(self.text("where"))
        if word and word not in WHERE:
            raise self.refused("where", f"holds `{word}`; it is shop, field or empty")
        return word

    def currency(self) -> None:
        """Hold the row's currency against that of the book."""
        word = self.text("currency")
        if word and self._book.currency and word != self._book.currency:
            raise self.refused("currency", f"holds `{word}`, but the book is in {self._book.currency}")
        self._book.currency = self._book.currency or word

    def refused(self, column: str, what: str) -> _Refused:
        """The row is told with the problem and not used."""
        problem = Problem(self._book.name, self._table.sheet, self.number, column, f"{what}; the row is not used")
        self._book.problems.append(problem)
        return _Refused()


def _rows(book: Book, table: _Table, sign: Sign) -> Iterator[_Row]:
    for number_, cells in table.rows:
        yield _Row(book, table, number_, cells, sign)


def _read_prices(book: Book, table: _Table, sign: Sign) -> None:
    for row in _rows(book, table, sign):
        try:
            entry, unit = row.entry("price")
            row.currency()
            spec = name_key(row.text("spec"))
            book.prices.append(
                ((name_key(row.text("item", needed=True)), size_key(row.text("size")), spec, unit), entry)
            )
        except _Refused:
            continue


def _read_hours(book: Book, table: _Table, sign: Sign) -> None:
    for row in _rows(book, table, sign):
        try:
            entry, unit = row.entry("hours")
            name = name_key(row.text("operation", needed=True))
            key = (name, size_key(row.text("size")), name_key(row.text("detail")), row.where(), unit)
            book.hours.append((key, entry))
        except _Refused:
            continue


def _read_rates(book: Book, table: _Table, sign: Sign) -> None:
    for row in _rows(book, table, sign):
        try:
            row.currency()
            rate = Entry(row.number_in("crew rate"), "h", Fraction(1), row.place)
            book.rates.append((name_key(row.text("trade")), rate))
        except _Refused:
            continue


def _read_factors(book: Book, table: _Table, sign: Sign) -> None:
    for row in _rows(book, table, sign):
        try:
            use = name_key(row.text("use"))
            if use not in (*_YES, *_NO):
                raise row.refused("use", f"holds `{use}`; it is yes, no or empty")
            name, times = name_key(row.text("factor", needed=True)), row.number_in("times")
            book.factors.append(Factor(name, times, name_key(row.text("operation")), row.where(), use in _YES))
        except _Refused:
            continue


_READERS = {"prices": _read_prices, "hours": _read_hours, "rates": _read_rates, "factors": _read_factors}


def wrong_currency(word: str) -> str:
    """Why a word cannot stand for money in the lists; empty if it can."""
    if not _CURRENCY.match(word):
        return f"the currency `{word}` is no word of at most 12 letters"
    return f"`{word}` is a unit of measure in the lists, and no currency" if word in _TAKEN else ""
