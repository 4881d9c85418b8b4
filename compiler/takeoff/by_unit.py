"""A list whose rows hold for several units built alike, taken apart into one for each unit with its own tags."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..model.table import Row, Table, Value
from .naming import numbered

#: So many units built alike have a sheet each; of more there is one, in which the unit is written in by hand.
MOST = 12


@dataclass(frozen=True, slots=True)
class UnitRows:
    """The rows for one unit, or with their stars for all of `units` where these are many."""

    units: tuple[str, ...]
    rows: tuple[Row, ...]

    @property
    def alike(self) -> bool:
        """Whether they hold for more than one unit."""
        return len(self.units) > 1


def by_unit(table: Table, most: int = MOST) -> list[UnitRows]:
    """The rows of a list for each unit, in the order of the list; of more than `most` units built alike together.

    Rows that say of no unit that they are built so stand in one lot without units.
    """
    blocks: dict[tuple[tuple[str, str], ...], list[Row]] = {}
    for row in table.rows:
        blocks.setdefault(row.units, []).append(row)
    made = []
    for units, rows in blocks.items():
        if not units or len(units) > most:
            made.append(UnitRows(tuple(tag for tag, _ in units), tuple(rows)))
        else:
            made.extend(UnitRows((tag,), tuple(_of(row, tag, number) for row in rows)) for tag, number in units)
    return made


def with_a_row_a_unit(table: Table) -> Table:
    """The list with a row for each unit that its rows hold for, tags written out."""
    return replace(table, rows=tuple(_each(table)))


def is_shared(table: Table) -> bool:
    """Whether a row holds for more than one unit."""
    return any(len(row.units) > 1 for row in table.rows)


def _each(table: Table) -> Iterator[Row]:
    for lot in by_unit(table, most=max((len(row.units) for row in table.rows), default=0)):
        yield from lot.rows


def _of(row: Row, tag: str, number: str) -> Row:
    cells: dict[str, Value] = {key: numbered(value, number) for key, value in row.cells.items()}
    return replace(row, cells={**cells, "units": tag, **({"count": 1} if "count" in cells else {})}, units=())
