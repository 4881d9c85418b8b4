"""Books as rows of cells: CSV in any usual encoding and delimiter, and XLSX. Nothing in a book is ever run.

A formula of a workbook counts by the value that was stored with it.
"""

from __future__ import annotations

import csv
import datetime
import io
import itertools
import re
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import IO

#: Books larger than this are refused, and workbooks that unfold to more. Bytes.
LARGEST, LARGEST_UNFOLDED = 200_000_000, 1_000_000_000
#: Rows of a CSV file that are looked at for its headings, to tell its delimiter.
_LOOKED_AT = 200
_DELIMITERS = ",;\t"
_FORMULA = re.compile(rb"<(?:\w+:)?f[ >/]")
_SHEET = re.compile(r"xl/worksheets/[^/]+\.xml\Z")


class Unusable(Exception):
    """Why nothing of a book can be read, in words for its user."""


@dataclass(frozen=True, slots=True)
class Odd:
    """A cell that holds neither text nor number: `a date`, `a formula without a stored value`."""

    what: str


Cell = str | int | float | Odd | None


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its number as the program that made it counts, and its cells; or what kept it from being read."""

    number: int
    cells: tuple[Cell, ...]
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class SheetOfRows:
    """One sheet of a book; a CSV file is one, without a name. `remark` is something to tell about how it was read."""

    name: str
    lines: Iterator[Line]
    remark: str = ""


def sheets_of(data: bytes, is_heading: Callable[[Sequence[Cell]], bool]) -> Iterator[SheetOfRows]:
    """The sheets of a book. `is_heading` tells whether a row names columns, which settles a CSV file's delimiter.

    Raises Unusable, also while the lines are read.
    """
    if len(data) > LARGEST:
        raise Unusable(f"is larger than {LARGEST // 1_000_000} MB")
    if data.startswith(b"PK\x03\x04"):
        yield from _workbook(data)
    elif data.startswith(b"\xd0\xcf\x11\xe0"):
        raise Unusable("is a workbook of the old kind, or locked with a password; save it as XLSX or CSV")
    else:
        text, remark = _decoded(data)
        yield SheetOfRows("", _csv_lines(text, _delimiter(text, is_heading)), remark)


def _decoded(data: bytes) -> tuple[str, str]:
    """The text, and a remark where it is in neither UTF-8 nor UTF-16."""
    try:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            return data.decode("utf-16"), ""
        if b"\0" in data:
            raise Unusable("is neither a CSV file nor an XLSX workbook")
        try:
            return data.decode("utf-8-sig"), ""
        except UnicodeDecodeError:
            return data.decode("cp1252"), "read as Windows-1252, because it is no UTF-8 text"
    except UnicodeDecodeError:
        raise Unusable("is text in no encoding that is read here; save it as UTF-8") from None


def _delimiter(text: str, is_heading: Callable[[Sequence[Cell]], bool]) -> str:
    """The delimiter that makes headings of a row; where none does, the one that parts the first rows most."""
    start = text[: 1000 * _LOOKED_AT]
    parted = {d: list(itertools.islice(_csv_lines(start, d), _LOOKED_AT)) for d in _DELIMITERS}
    for delimiter, lines in parted.items():
        if any(is_heading(line.cells) for line in lines):
            return delimiter
    return max(parted, key=lambda d: sum(len(line.cells) for line in parted[d]))


def _csv_lines(text: str, delimiter: str) -> Iterator[Line]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    while True:
        number = reader.line_num + 1
        try:
            yield Line(number, tuple(next(reader)))
        except StopIteration:
            return
        except csv.Error as error:
            last = reader.line_num
            rows = f"rows {number} to {last} are" if last > number else "the row is"
            yield Line(number, (), f"{rows} not read: {_csv_trouble(str(error))}")


def _csv_trouble(text: str) -> str:
    if "unexpected end of data" in text:
        return "a quote is opened and never closed"
    if "field larger" in text:
        return "a cell is longer than 131072 characters, or a quote is never closed"
    if "expected after" in text:
        return "something stands behind the closing quote of a cell"
    return text


# -- workbooks ---------------------------------------------------------------------------------------------------


def _workbook(data: bytes) -> Iterator[SheetOfRows]:
    """The sheets of an XLSX file, values only. openpyxl is loaded where a workbook is read."""
    from openpyxl import load_workbook

    formulas = _has_formulas(data)
    try:
        values = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        texts = load_workbook(io.BytesIO(data), read_only=True, keep_links=False) if formulas else None
        for sheet in values.worksheets:
            beside = texts[sheet.title] if texts is not None else None
            sheet.reset_dimensions()  # what a file says of its own extent may be wrong
            rows: Iterator[tuple[object, ...]] = sheet.iter_rows(values_only=True)
            lines: Iterator[Line]
            if beside is None:
                lines = (Line(number, tuple(map(_cell, row))) for number, row in enumerate(rows, 1))
            else:
                beside.reset_dimensions()
                lines = _with_formulas(rows, beside.iter_rows(values_only=True))
            yield SheetOfRows(sheet.title, _guarded(lines))
    except Unusable:
        raise
    except Exception as error:  # whatever a broken file makes openpyxl or its XML parser raise
        raise Unusable(_broken(error)) from None


def _has_formulas(data: bytes) -> bool:
    """Whether any sheet holds formulas. Raises Unusable for what is no workbook."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as folder:
            infos = folder.infolist()
            if sum(info.file_size for info in infos) > LARGEST_UNFOLDED:
                raise Unusable(f"unfolds to more than {LARGEST_UNFOLDED // 1_000_000} MB")
            return any(_holds(folder.open(info), _FORMULA) for info in infos if _SHEET.match(info.filename.lstrip("/")))
    except Unusable:
        raise
    except Exception as error:  # whatever a broken archive raises
        raise Unusable(_broken(error)) from None


def _holds(stream: IO[bytes], pattern: re.Pattern[bytes]) -> bool:
    end = b""
    while part := stream.read(1 << 20):
        if pattern.search(end + part):
            return True
        end = part[-40:]
    return False


def _guarded(lines: Iterator[Line]) -> Iterator[Line]:
    try:
        yield from lines
    except Exception as error:  # as above
        raise Unusable(_broken(error)) from None


def _broken(error: Exception) -> str:
    return f"cannot be read as a workbook ({type(error).__name__})"


def _with_formulas(values: Iterator[tuple[object, ...]], texts: Iterator[tuple[object, ...]]) -> Iterator[Line]:
    for number, (row, beside) in enumerate(zip(values, texts, strict=False), 1):
        yield Line(
            number,
            tuple(
                Odd("a formula without a stored value: open the book, calculate and save it")
                if value is None and text is not None
                else _cell(value)
                for value, text in zip(row, beside, strict=False)
            ),
        )


def _cell(value: object) -> Cell:
    if value is None or type(value) is str or type(value) is int or type(value) is float:
        if type(value) is str and value.startswith("#") and value in _ERRORS:
            return Odd(f"the error {value}")
        return value
    if isinstance(value, bool):
        return Odd("true or false")
    if isinstance(value, datetime.date | datetime.time | datetime.timedelta):
        return Odd("a date: write sizes as text, such as 3/4 in with its inch mark")
    return str(value)


_ERRORS = frozenset({"#REF!", "#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#VALUE!"})
