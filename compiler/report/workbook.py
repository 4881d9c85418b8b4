"""Lists as a workbook, to go on working in: a sheet a list, a real table with filters, formulas, and print set-up.

XlsxWriter is loaded with this module, and this module where a workbook is asked for. Texts are written as texts,
whatever they begin with. The same lists give the same bytes.
"""

from __future__ import annotations

import datetime
import io
import math
import re
import textwrap
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeGuard

from xlsxwriter import Workbook
from xlsxwriter.utility import xl_range, xl_rowcol_to_cell

from ..model.table import Column, Row, Table, Unknown, Value
from ..version import __version__
from .formulas import formula
from .plain import visible
from .tables_text import used_columns
from .trouble import Trouble
from .values import as_text, decimal

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

#: What a sheet takes: rows, characters of its name, of a cell, of a heading.
_ROWS, _NAME, _TEXT, _HEADING = 1_048_576, 31, 32_767, 255
_CUT = " … cut here: a cell holds no more; CSV and JSON have all of it"
#: A workbook carries the day it was made; ours carries always the same one.
_MADE = datetime.datetime(2000, 1, 1)
_HEAD = 2
#: Widths of a column in characters, the height of a line in points.
_WIDEST, _NARROWEST = 48, 6
_LINE = 15
_LETTER, _A4 = 1, 9
_FORBIDDEN = re.compile(r"[\[\]:*?/\\'\x00-\x1f]")
#: Units that are currencies, ISO 4217.
_MONEY = re.compile(r"[A-Z]{3}\Z")
_WHOLE = "#,##0"
_PROVENANCE = (Column("row", "Row"), Column("origin", "Origin"), Column("why", "Why"))


def render(tables: Sequence[tuple[str, Table]], metric: bool = False) -> bytes:
    """The workbook of all lists, each on a sheet of the name given with it, as far as a sheet's name may be so."""
    stream = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = Workbook(stream, options)
    book.set_properties({"created": _MADE, "comments": f"coilwright {__version__}"})
    book.set_calc_mode("auto")
    styles = _Styles(book)
    names: set[str] = set()
    for number, (name, table) in enumerate(tables, 1):
        sheet = book.add_worksheet(_sheet_name(name, names))
        _Sheet(sheet, table, styles, number).write(_A4 if metric else _LETTER)
    if not tables:
        book.add_worksheet("nothing").write_string(0, 0, "There are no lists.")
    book.close()
    return stream.getvalue()


def heading(column: Column) -> str:
    """A column's heading with the unit of its numbers.

    >>> heading(Column("cut", "Cut", "ft-in")), heading(Column("tags", "Tags"))
    ('Cut, in', 'Tags')
    """
    unit = "in" if column.unit == "ft-in" else column.unit
    return f"{column.title}, {unit}" if unit else column.title


class _Styles:
    """Cell formats, one object each: a workbook that repeats them grows."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Format] = {}

    def __call__(self, **properties: Any) -> Format:
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format({"valign": "top", **properties})
        return self._made[key]


class _Sheet:
    """One list on its sheet: title, table, sums, notes; row, origin and reason folded away on the right."""

    def __init__(self, sheet: Worksheet, table: Table, styles: _Styles, number: int) -> None:
        self._sheet, self._table, self._styles = sheet, table, styles
        self._id = f"T{number}_{re.sub(r'[^A-Za-z0-9_]', '_', table.name)}"
        used = used_columns(table)
        needed = {key for column in used for key in column.formula.split()}
        self._shown = [column for column in table.columns if column in used or column.key in needed]
        self._columns = [*self._shown, *_PROVENANCE]
        self._first = _HEAD + 1
        self._last = _HEAD + len(table.rows)
        self._widths: list[int] = []

    def write(self, paper: int) -> None:
        """All of it."""
        if self._last + 2 + len(self._table.notes) > _ROWS:
            raise Trouble(f"the list `{self._table.name}` has more rows than a sheet takes; write CSV or JSON")
        self._sheet.write_string(0, 0, _said(self._table.title), self._styles(bold=True, font_size=14))
        if self._table.rows:
            self._frame()
            self._cells()
        else:
            self._sheet.write_string(_HEAD, 0, "This list has no rows.")
        self._notes()
        self._page(paper)

    def _frame(self) -> None:
        """Headings, filters, row of sums, widths, frozen heads."""
        sums = self._sums()
        heads = _unlike([heading(column) for column in self._columns])
        self._sheet.add_table(
            _HEAD,
            0,
            self._last + bool(sums),
            len(self._columns) - 1,
            {
                "name": self._id,
                "style": "Table Style Light 1",
                "total_row": bool(sums),
                "columns": [
                    {
                        "header": head,
                        "header_format": self._text_style(column, bold=True),
                        **({"total_function": sums[index][0]} if index in sums else {}),
                        **({"total_string": self._sums_called(sums)} if index == 0 and sums and 0 not in sums else {}),
                    }
                    for index, (head, column) in enumerate(zip(heads, self._columns, strict=True))
                ],
            },
        )
        if sums:
            self._sum_row(sums)
        lines = 1
        for index, (head, column) in enumerate(zip(heads, self._columns, strict=True)):
            values = [self._value(number, column) for number in range(len(self._table.rows))]
            longest = max(map(len, (*(as_text(value, column.unit) for value in values), *head.split())))
            self._widths.append(min(max(longest, _NARROWEST), _WIDEST))
            lines = max(lines, len(textwrap.wrap(head, self._widths[-1])))
            folded = {"level": 1, "hidden": True} if index >= len(self._shown) else {}
            self._sheet.set_column(index, index, self._widths[-1] + 3, None, folded)
        self._sheet.set_column(len(self._columns), len(self._columns), None, None, {"collapsed": True})
        self._sheet.set_row(_HEAD, _LINE * lines)
        self._sheet.freeze_panes(self._first, 0)

    def _sums(self) -> dict[int, tuple[str, float]]:
        """For each column that adds up its number, the formula of its sum, over what a filter leaves, and the sum."""
        sums = {}
        for index, column in enumerate(self._shown):
            numbers = [value for row in self._table.rows if _is_number(value := row.cells.get(column.key))]
            if column.adds_up and numbers:
                cells = xl_range(self._first, index, self._last, index)
                sums[index] = (f"SUBTOTAL(109,{cells})", float(sum(Fraction(number) for number in numbers)))
        return sums

    def _sum_row(self, sums: dict[int, tuple[str, float]]) -> None:
        """The sums below the list; their formats are not those of the columns, which is why they are written again."""
        at = self._last + 1
        for index, (written, value) in sums.items():
            style = self._styles(bold=True, num_format=self._number_format(self._shown[index]), align="right")
            self._sheet.write_formula(at, index, f"={written}", style, value)
        if 0 not in sums:
            self._sheet.write_string(at, 0, self._sums_called(sums), self._styles(bold=True))

    def _sums_called(self, sums: Iterable[int]) -> str:
        """What the row of sums is called, with how many rows have no number to add."""
        unknown = max(
            sum(isinstance(row.cells.get(self._shown[index].key), Unknown) for row in self._table.rows)
            for index in sums
        )
        return f"Sum, without {unknown} unknown" if unknown else "Sum"

    def _cells(self) -> None:
        formats = {column.key: self._number_format(column) for column in self._shown}
        for number, row in enumerate(self._table.rows):
            at = self._first + number
            places = {column.key: xl_rowcol_to_cell(at, index) for index, column in enumerate(self._shown)}
            for index, column in enumerate(self._columns):
                value = self._value(number, column)
                if _is_number(value):
                    whole = isinstance(value, int) and not _MONEY.match(column.unit)
                    style = self._styles(num_format=_WHOLE if whole else formats[column.key])
                    written = formula(f"{column.key} = {column.formula}", row.cells, places) if column.formula else None
                    if written:
                        self._sheet.write_formula(at, index, written, style, float(Fraction(value)))
                    else:
                        self._sheet.write_number(at, index, float(Fraction(value)), style)
                elif value is not None:
                    style = self._text_style(column, wrapped=index < len(self._shown))
                    self._sheet.write_string(at, index, _said(as_text(value)), style)

    def _text_style(self, column: Column, wrapped: bool = True, **more: Any) -> Format:
        """Text a little off the numbers on its left."""
        indent = {"indent": 1} if column.align == "left" and column is not self._columns[0] else {}
        return self._styles(text_wrap=wrapped, align=column.align, **indent, **more)

    def _value(self, number: int, column: Column) -> Value:
        """A cell of the list, or where the row comes from."""
        row: Row = self._table.rows[number]
        if column is _PROVENANCE[0]:
            return f"{self._table.name}:{number + 1}"
        if column is _PROVENANCE[1]:
            return "; ".join(map(str, row.origin))
        return row.why if column is _PROVENANCE[2] else row.cells.get(column.key)

    def _number_format(self, column: Column) -> str:
        """Inches to the 64th, money to the hundredth, others with the decimals of the longest, three at most."""
        values = [row.cells.get(column.key) for row in self._table.rows]
        lengths = [value for value in values if isinstance(value, Fraction)]
        if lengths and not any(64 % length.denominator for length in lengths):
            return "# ??/??"
        if _MONEY.match(column.unit):
            return "#,##0.00"
        numbers = [float(value) for value in values if _is_number(value)]
        digits = max((len(decimal(abs(number) + 1, 3).partition(".")[2]) for number in numbers), default=0)
        return f"{_WHOLE}.{'0' * digits}" if digits else _WHOLE

    def _notes(self) -> None:
        at = self._last + 3 if self._table.rows else _HEAD + 2
        wide = max(sum(width + 2 for width in self._widths[: len(self._shown)]), 60)
        style = self._styles(text_wrap=True)
        for number, note in enumerate(self._table.notes, at):
            if len(self._shown) > 1:
                self._sheet.merge_range(number, 0, number, len(self._shown) - 1, "", style)
            self._sheet.write_string(number, 0, _said(note), style)
            self._sheet.set_row(number, _LINE * math.ceil(len(note) * 1.1 / wide))

    def _page(self, paper: int) -> None:
        self._sheet.set_paper(paper)
        self._sheet.set_landscape()
        self._sheet.fit_to_pages(1, 0)
        self._sheet.repeat_rows(0, _HEAD)
        title = _said(self._table.title).replace("&", "&&")[:150]
        self._sheet.set_footer(f"&L{title}&RPage &P of &N")


def _is_number(value: Value) -> TypeGuard[int | float | Fraction]:
    return isinstance(value, int | float | Fraction)


def _said(text: str) -> str:
    """A text as a cell takes it: no signs that move a cursor, no half characters, no longer than a cell holds."""
    text = visible(text.replace("\n", " ").encode("utf-8", "backslashreplace").decode())
    return text if len(text) <= _TEXT else text[: _TEXT - len(_CUT)] + _CUT


def _unlike(heads: Sequence[str]) -> list[str]:
    """Headings that a table can tell apart: a second one of the same letters gets a number."""
    made: list[str] = []
    for head in heads:
        head = _said(head)[:_HEADING] or "-"
        name, number = head, 2
        while name.casefold() in {other.casefold() for other in made}:
            name, number = f"{head[: _HEADING - 4]} {number}", number + 1
        made.append(name)
    return made


def _sheet_name(name: str, taken: set[str]) -> str:
    """A name that a sheet may have and none has yet."""
    plain = _FORBIDDEN.sub("-", _said(name))[:_NAME] or "-"
    made, number = plain, 2
    while made.casefold() in taken or made.casefold() == "history":
        made, number = f"{plain[: _NAME - len(str(number)) - 1]} {number}", number + 1
    taken.add(made.casefold())
    return made
