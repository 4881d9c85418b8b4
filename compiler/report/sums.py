"""The row of sums under a list on paper, of the columns whose numbers may be added up."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ..model.table import Column, Table, Unknown, Value
from .values import as_text


def sums_of(table: Table) -> dict[str, Value]:
    """What the columns of a list that add up come to, by key; empty where there is nothing or only one row to add."""
    sums: dict[str, Value] = {}
    for column in table.columns if len(table.rows) > 1 else ():
        values = [row.cells.get(column.key) for row in table.rows]
        numbers = [value for value in values if isinstance(value, int | float | Fraction)]
        if column.adds_up and numbers:
            whole = sum(Fraction(repr(value)) if isinstance(value, float) else Fraction(value) for value in numbers)
            exact = any(isinstance(value, Fraction) for value in numbers)
            sums[column.key] = whole if exact else int(whole) if whole.denominator == 1 else float(whole)
    return sums


def label(table: Table, keys: Sequence[str]) -> str:
    """What a row of sums is called: it says how many values are in none of them because nobody knows them."""
    unknown = max(sum(isinstance(row.cells.get(key), Unknown) for row in table.rows) for key in keys)
    return f"Sum, without {unknown} unknown" if unknown else "Sum"


def sum_row(table: Table, shown: Sequence[Column]) -> list[str]:
    """The row as texts under the columns that are shown; empty where there is none, or no room for its name."""
    sums = sums_of(table)
    if not sums or shown[0].key in sums:
        return []
    texts = [as_text(sums.get(column.key), column.unit) for column in shown]
    return [label(table, list(sums)), *texts[1:]]
