"""The fact tables: CSV files with a comment header that names standard, table, edition and sources.

A table is read when it is first asked for and kept. Cells stay the text that was printed; `inches` and `decimal` read
them. What the keys of the `source` columns stand for is written in docs/sources.md.
"""

from __future__ import annotations

import csv
from fractions import Fraction
from functools import cache
from importlib.resources import files

from ..model.size import parse_fraction

Row = dict[str, str]

#: A two-decimal inch value of a standard stands for the sixteenth (or thirty-second) that it was rounded from. The
#: standards round halves to even and take 0.06 off for a raised face, so that they stray by up to a hundredth.
_STRAY = Fraction(1, 100)


class TableError(Exception):
    """A shipped table is malformed: a fault of ours, never of the user's."""


@cache
def _read(name: str) -> tuple[str, tuple[Row, ...]]:
    text = files(__package__).joinpath("tables", f"{name}.csv").read_text(encoding="utf-8")
    lines = text.splitlines()
    header = [line for line in lines if line.startswith("#")]
    reader = csv.reader(line for line in lines if not line.startswith("#"))
    columns = next(reader, None)
    if not header or columns is None or len(set(columns)) != len(columns):
        raise TableError(f"table {name}: no header, or a column twice")
    rows = []
    for cells in reader:
        if len(cells) != len(columns):
            raise TableError(f"table {name}: {len(cells)} cells in {cells!r}, not {len(columns)}")
        rows.append(dict(zip(columns, cells, strict=True)))
    return " ".join(line.lstrip("# ").rstrip() for line in header), tuple(rows)


def table(name: str) -> tuple[Row, ...]:
    """The rows of `tables/NAME.csv`, each column name -> the text printed there. Raises TableError if malformed."""
    return _read(name)[1]


def table_source(name: str) -> str:
    """What the header of a table says of its standard, edition and sources, on one line."""
    return _read(name)[0]


def decimal(text: str) -> Fraction:
    """A decimal number or a fraction exactly as printed: `0.95` is 19/20, `1-1/8` is 9/8."""
    found = parse_fraction(text)
    try:
        return Fraction(text) if found is None else found
    except (ValueError, ZeroDivisionError) as error:
        raise TableError(f"{text!r} is no number") from error


def inches(text: str) -> Fraction:
    """A length that its standard gives in sixteenths or thirty-seconds, printed to two places.

    `1.12` is 1-1/8, `0.06` is 1/16, `0.97` is 31/32. Raises TableError for a value that is no such fraction.
    """
    value = decimal(text)
    for parts in (16, 32):
        nearest = Fraction(round(value * parts), parts)
        if abs(nearest - value) <= _STRAY:
            return nearest
    raise TableError(f"{text!r} is no sixteenth or thirty-second of an inch")
