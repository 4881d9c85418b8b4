"""Lists as CSV (RFC 4180: comma, CRLF, quotes doubled), made safe for spreadsheets.

One list alone is its header and its rows. Several in one stream are parted by an empty row, each under a row with its
title. Numbers are plain decimals, a length's unit is in its heading (`length_in`), an unknown value is its words.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from fractions import Fraction

from ..model.table import Column, Table, Value
from .values import decimal

#: A spreadsheet runs a cell that starts so as a formula, also behind blanks.
_RUNS = re.compile(r"[\s\x00]*[=+\-@＝＋－＠]|[\t\r\n]")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?\Z")
#: A spreadsheet takes a size like this for a date.
_FRACTION = re.compile(r"(\d+-)?\d+/\d+\Z")
_DIGITS = 6


def render(tables: Sequence[Table]) -> str:
    """All lists in one text."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\r\n")
    for index, table in enumerate(tables):
        if len(tables) > 1:
            if index:
                writer.writerow([])
            writer.writerow([cell(table.title)])
        writer.writerow([heading(column) for column in table.columns])
        for row in table.rows:
            writer.writerow([cell(row.cells.get(column.key)) for column in table.columns])
    return stream.getvalue()


def heading(column: Column) -> str:
    """The column's key, with its unit behind it.

    >>> heading(Column("length", "Length", "in")), heading(Column("tags", "Tags"))
    ('length_in', 'tags')
    """
    unit = "in" if column.unit == "ft-in" else column.unit
    if not unit or column.key.endswith(f"_{unit}"):
        return column.key
    return f"{column.key}_{unit}"


def cell(value: Value) -> str:
    """One cell. Text that a spreadsheet would run gets an apostrophe before it, a size it would take for a date an
    inch mark behind it; numbers stay numbers.

    >>> cell(Fraction(7, 2)), cell(-3), cell("=1+1"), cell("-5"), cell("3/4"), cell(("+A", "B"))
    ('3.5', '-3', "'=1+1", '-5', '3/4"', "'+A, B")
    """
    if isinstance(value, Fraction | float):
        return decimal(float(value), _DIGITS)
    if value is None:
        return ""
    text = ", ".join(value) if isinstance(value, tuple) else str(value)
    if _NUMBER.match(text):
        return text
    if _FRACTION.match(text):
        return text + '"'
    return "'" + text if _RUNS.match(text) else text
