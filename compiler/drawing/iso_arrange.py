"""Where the tables of a sheet stand: beside the figure or below it, so that the sheet prints as large as it can."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from .iso_tables import Set

BETWEEN = 22.0
_BELOW = 12.0
#: What printers leave of letter and A4 paper, the less of both, in CSS pixels (1/96 in).
_SHORT, _LONG = 720.0, 950.0


class Arrangement(NamedTuple):
    """The places of the tables, seen from the upper left corner of the figure, and the room that figure and tables
    take."""

    places: tuple[tuple[float, float], ...]
    width: float
    height: float

    def scale(self, more_width: float, more_height: float) -> float:
        """How large it prints, on a page upright or on its side, with what else is on the sheet."""
        width, height = self.width + more_width, self.height + more_height
        return max(min(_SHORT / width, _LONG / height), min(_LONG / width, _SHORT / height), 0.0)


def arrange(tables: Sequence[Set], width: float, height: float, more: tuple[float, float]) -> Arrangement:
    """The best arrangement round a figure of `width` and `height`; `more`: what head and margins add to both.

    The first of the best: beside, then below in as many columns as fit.
    """
    return max(_all(tables, width, height), key=lambda one: min(1.0, one.scale(*more)))


def _all(tables: Sequence[Set], width: float, height: float) -> Iterator[Arrangement]:
    yield _made(tables, _rows(tables, width + BETWEEN, 0.0, 0.0), width, height)
    sums = [sum(table.width + BETWEEN for table in tables[: n + 1]) - BETWEEN for n in range(len(tables))]
    for right in sorted({max(width, one) for one in sums}):
        yield _made(tables, _rows(tables, 0.0, height, right), width, height)


def _made(tables: Sequence[Set], places: Sequence[tuple[float, float]], width: float, height: float) -> Arrangement:
    ends = [(x + table.width, y + table.height) for table, (x, y) in zip(tables, places, strict=True)]
    return Arrangement(tuple(places), max(width, *(x for x, _ in ends)), max(height, *(y for _, y in ends)))


def _rows(tables: Sequence[Set], x: float, y: float, right: float) -> list[tuple[float, float]]:
    """Tables side by side up to `right`; what is left goes into the column that ends highest of those it fits."""
    made: list[tuple[float, float]] = []
    columns: list[list[float]] = []  # x, width, y of what is free below
    at = x
    for table in tables:
        fits = [column for column in columns if column[1] >= table.width]
        if not columns or at + table.width <= right:
            columns.append([at, table.width, y])
            at += table.width + BETWEEN
            column = columns[-1]
        elif fits:
            column = min(fits, key=lambda one: one[2])
        else:
            column = columns[0]
            column[2] = max(one[2] for one in columns)
        made.append((column[0], column[2]))
        column[2] += table.height + _BELOW
    return made
