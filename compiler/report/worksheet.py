"""One list on one sheet of a workbook.

The title, the list as a table, its sums and its notes; on the right, folded away, what `coilwright why` calls each row,
the lines behind it and the reason.
"""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeGuard

from xlsxwriter.utility import xl_range, xl_rowcol_to_cell

from ..model.rounded import Rounded
from ..model.table import Column, Table, Unknown, Value
from .formulas import formula
from .plain import visible
from .tables_text import used_columns
from .trouble import Trouble
from .values import as_text, decimal

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

#: What a sheet takes: rows, characters of a cell, of a heading.
_ROWS, _TEXT, _HEADING = 1_048_576, 32_767, 255
_CUT = " … cut here: a cell holds no more; CSV and JSON have all of it"
#: The row of the headings; the title is above it.
_HEAD = 2
#: Widths of a column in characters, the height of a line in points.
_NARROWEST, _WIDEST = 6, 48
_LINE = 15
#: Points that a row may be high at most, in any program that reads workbooks.
_HIGHEST = 409
#: Characters that a column is wider than its longest text, for the filter's button; of those that wrap a few less fit.
_MARGIN, _SPARE = 3, 2
_WHOLE, _INCHES, _PRICE = "#,##0", "# ??/??", "#,##0.00"
#: Units that are currencies, ISO 4217.
_MONEY = re.compile(r"[A-Z]{3}\Z")
_NUMBERS = (int, float, Rounded, Fraction)
#: Beside control characters, what XML 1.0 does not allow in a text.
_NO_XML = {0xFFFE: 0xFFFD, 0xFFFF: 0xFFFD}


class Styles:
    """Cell formats, one object each: a workbook that repeats them grows."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Format] = {}

    def __call__(self, **properties: Any) -> Format:
        """The format with these properties, always the same object for the same ones."""
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format({"valign": "top", **properties})
        return self._made[key]


class Sheet:
    """A list and the sheet it goes to; `name` is what the workbook calls the table, which has to be unlike others."""

    def __init__(self, sheet: Worksheet, table: Table, styles: Styles, name: str) -> None:
        self._sheet, self._table, self._styles = sheet, table, styles
        self._name = f"{name}_{re.sub('[^A-Za-z0-9_]', '_', table.name)}"
        used = used_columns(table, data=True)
        needed = {key for column in used for key in column.formula.split()}
        self._shown = [column for column in table.columns if column in used or column.key in needed]
        self._values: list[list[Value]] = [[row.cells.get(column.key) for row in table.rows] for column in self._shown]
        self._first, self._last = _HEAD + 1, _HEAD + len(table.rows)
        self._width, self._lines = 0, 1  # of the columns shown together, of the longest heading
        self._rows: dict[int, int] = {}  # lines of the highest cell of each row that has more than one

    def write(self, paper: int) -> None:
        """All of it. Raises Trouble where there are more rows than a sheet takes."""
        if self._last + 2 + len(self._table.notes) > _ROWS:
            raise Trouble(f"the list `{self._table.name}` has more rows than a sheet takes; write CSV or JSON")
        self._sheet.write_string(0, 0, as_cell(self._table.title), self._styles(bold=True, font_size=14))
        if self._table.rows:
            trail = self._trail()
            heads = _unlike([*(heading(column) for column in self._shown), *trail])
            self._frame(heads)
            for index, column in enumerate(self._shown):
                texts = [as_text(value, column.unit) for value in self._values[index]]
                self._set_width(index, heads[index], texts)
                self._fill(index, column)
            for index, texts in enumerate(trail.values(), len(self._shown)):
                self._set_width(index, heads[index], texts, {"level": 1, "hidden": True})
                for at, text in enumerate(texts, self._first):
                    self._sheet.write_string(at, index, as_cell(text), self._styles())
            self._sheet.set_column(len(heads), len(heads), None, None, {"collapsed": True})
            self._sheet.set_row(_HEAD, _LINE * self._lines)
            for at, lines in self._rows.items():  # a program that opens it may not look for the height itself
                self._sheet.set_row(at, min(_LINE * lines, _HIGHEST))
        else:
            self._sheet.write_string(_HEAD, 0, "This list has no rows.")
        self._notes()
        self._page(paper)

    def _trail(self) -> dict[str, list[str]]:
        """Where each row comes from, by heading."""
        rows = self._table.rows
        return {
            "Row": [f"{self._table.name}:{number}" for number in range(1, len(rows) + 1)],
            "Origin": ["; ".join(map(str, row.origin)) for row in rows],
            "Why": [row.why for row in rows],
        }

    def _frame(self, heads: list[str]) -> None:
        """The table around headings, rows and sums."""
        sums = self._sums()
        columns = [
            {"header": head, "header_format": self._text_style(index, bold=True), **self._below(index, sums)}
            for index, head in enumerate(heads)
        ]
        self._sheet.add_table(
            _HEAD,
            0,
            self._last + bool(sums),
            len(heads) - 1,
            {"name": self._name, "style": "Table Style Light 1", "total_row": bool(sums), "columns": columns},
        )
        for index, (written, value) in sums.items():  # again, because theirs would be the format of the whole column
            style = self._styles(bold=True, num_format=self._number_format(index), align="right")
            self._sheet.write_formula(self._last + 1, index, f"={written}", style, value)
        self._sheet.freeze_panes(self._first, 0)

    def _sums(self) -> dict[int, tuple[str, float]]:
        """For each column that adds up the formula of its sum, over what a filter leaves, and the sum."""
        sums = {}
        for index, column in enumerate(self._shown):
            numbers = [Fraction(value) for value in self._values[index] if _is_number(value)]
            if column.adds_up and numbers:
                cells = xl_range(self._first, index, self._last, index)
                sums[index] = (f"SUBTOTAL(109,{cells})", float(sum(numbers)))
        return sums

    def _below(self, index: int, sums: dict[int, tuple[str, float]]) -> dict[str, str]:
        """What stands in the row of sums: a formula, or in the first column what the row is and what is not in it."""
        if index in sums:
            return {"total_function": sums[index][0]}
        if index or not sums:
            return {}
        unknown = max(sum(isinstance(value, Unknown) for value in self._values[summed]) for summed in sums)
        return {"total_string": f"Sum, without {unknown} unknown" if unknown else "Sum"}

    def _set_width(self, index: int, head: str, texts: list[str], more: dict[str, Any] | None = None) -> None:
        """As wide as the longest text or the longest word of the heading, with room for the filter's button."""
        longest = max(map(len, (*texts, *head.split())))
        width = min(max(longest, _NARROWEST), _WIDEST) + _MARGIN
        self._sheet.set_column(index, index, width, None, more or {})
        self._lines = max(self._lines, len(textwrap.wrap(head, width - 2)))
        if more:
            return
        self._width += width
        for at, text in enumerate(texts, self._first):
            if len(text) > width - _MARGIN:
                self._rows[at] = max(self._rows.get(at, 1), _lines_of(text, width - _MARGIN - _SPARE))

    def _fill(self, index: int, column: Column) -> None:
        """The cells of a column: formulas where they give the number, numbers, texts, nothing."""
        text = self._text_style(index)
        number = self._styles(num_format=self._number_format(index))
        whole = number if _MONEY.match(column.unit) else self._styles(num_format=_WHOLE)
        for at, value in enumerate(self._values[index], self._first):
            if _is_number(value):
                style = whole if isinstance(value, int) else number
                written = self._formula(at, column) if column.formula else None
                if written:
                    self._sheet.write_formula(at, index, written, style, float(value))
                else:
                    self._sheet.write_number(at, index, float(value), style)
            elif value is not None:
                self._sheet.write_string(at, index, as_cell(as_text(value)), text)

    def _formula(self, at: int, column: Column) -> str | None:
        places = {other.key: xl_rowcol_to_cell(at, index) for index, other in enumerate(self._shown)}
        cells = self._table.rows[at - self._first].cells
        return formula(f"{column.key} = {column.formula}", cells, places)

    def _text_style(self, index: int, **more: Any) -> Format:
        """Texts wrap, and stand a little off the numbers on their left."""
        align = self._shown[index].align if index < len(self._shown) else "left"
        indent = {"indent": 1} if align == "left" and index else {}
        return self._styles(text_wrap=True, align=align, **indent, **more)

    def _number_format(self, index: int) -> str:
        """Inches to the 64th, money to the hundredth, others with the decimals of the longest, three at most."""
        numbers = [value for value in self._values[index] if _is_number(value)]
        lengths = [value for value in numbers if isinstance(value, Fraction)]
        if lengths and not any(64 % length.denominator for length in lengths):
            return _INCHES
        if _MONEY.match(self._shown[index].unit):
            return _PRICE
        digits = max((len(decimal(1 + abs(float(number)), 3).partition(".")[2]) for number in numbers), default=0)
        return f"{_WHOLE}.{'0' * digits}" if digits else _WHOLE

    def _notes(self) -> None:
        style = self._styles(text_wrap=True)
        wide = max(self._width, 60)
        for at, note in enumerate(self._table.notes, self._last + 3):
            if len(self._shown) > 1:
                self._sheet.merge_range(at, 0, at, len(self._shown) - 1, "", style)
            self._sheet.write_string(at, 0, as_cell(note), style)
            self._sheet.set_row(at, _LINE * math.ceil(len(note) * 1.1 / wide))

    def _page(self, paper: int) -> None:
        self._sheet.set_paper(paper)
        self._sheet.set_landscape()
        self._sheet.fit_to_pages(1, 0)
        self._sheet.repeat_rows(0, _HEAD)
        title = as_cell(self._table.title).replace("&", "&&")[:150]
        self._sheet.set_footer(f"&L{title}&RPage &P of &N")


def heading(column: Column) -> str:
    """A column's heading with the unit of its numbers.

    >>> heading(Column("cut", "Cut", "ft-in")), heading(Column("tags", "Tags"))
    ('Cut, in', 'Tags')
    """
    unit = "in" if column.unit == "ft-in" else column.unit
    return f"{column.title}, {unit}" if unit else column.title


def as_cell(text: str) -> str:
    """A text as a cell takes it: no signs that move a cursor, no half characters, no longer than a cell holds."""
    if not text.isprintable():
        text = visible(text.replace("\n", " ").encode("utf-8", "backslashreplace").decode()).translate(_NO_XML)
    return text if len(text) <= _TEXT else text[: _TEXT - len(_CUT)] + _CUT


def _lines_of(text: str, width: int) -> int:
    """Lines that a text takes in a column: broken at blanks, by its length alone where it is beyond any height."""
    if len(text) > width * _HIGHEST // _LINE:
        return _HIGHEST // _LINE + 1
    return len(textwrap.wrap(text, width))


def _is_number(value: Value) -> TypeGuard[int | float | Fraction]:
    return type(value) in _NUMBERS  # asking a Fraction's abstract classes takes longer than writing the cell


def _unlike(heads: Sequence[str]) -> list[str]:
    """Headings that a table can tell apart: a second one of the same letters gets a number."""
    made: list[str] = []
    for head in heads:
        head = as_cell(head)[:_HEADING] or "-"
        name, number = head, 2
        while name.casefold() in {other.casefold() for other in made}:
            name, number = f"{head[: _HEADING - 4]} {number}", number + 1
        made.append(name)
    return made
