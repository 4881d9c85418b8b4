"""What differs between two lists: rows added and removed, amounts more or less."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from ..model.hookup import Hookup, UnitRef
from ..model.span import Span
from ..model.table import NOT_MEASURED, Column, Row, Table, Unknown, Value
from ..takeoff.job import Job

#: Columns that number rows, name units or tags, or follow from the others.
_TELLS_NOTHING = frozenset({"item", "row", "step", "joint", "straight", "number", "units", "tags", "each", "pack"})
#: Amounts that may be added up though their columns do not say so.
_AMOUNTS = frozenset({"total", "extra", "buy", "gaskets", "bolts", "nuts", "quantity", "count", "packs"})

_SUMMARY = (
    Column("list", "List"),
    Column("rows_before", "Rows before", align="right"),
    Column("rows_after", "Rows after", align="right"),
    Column("added", "Added", align="right"),
    Column("removed", "Removed", align="right"),
    Column("changed", "Amount changed", align="right"),
)

Key = tuple[Value, ...]


@dataclass(slots=True)
class Kept:
    """What the rows of one key come to."""

    cells: dict[str, Value]
    amounts: dict[str, float | Fraction] = field(default_factory=dict)
    unknown: dict[str, Unknown] = field(default_factory=dict)  # amounts that at least one row does not know
    spans: dict[Span, None] = field(default_factory=dict)

    def amount(self, key: str) -> Value:
        """The sum, or what it is instead."""
        if key in self.unknown:
            return self.unknown[key]
        value = self.amounts.get(key)
        return value if value is None or isinstance(value, Fraction) else _short(value)


def list_changes(
    names: Iterable[str], old: Job, new: Job, make: Callable[[str, Job], Table]
) -> tuple[Table, tuple[Table, ...]]:
    """A table that says of each list how many rows differ, and one a list that differs, with its rows.

    `make` makes a list by name. Lists that are by unit are added up over the units first.
    """
    summary, tables = [], []
    for name in names:
        before, after = over_units(name, old, make), over_units(name, new, make)
        found = table_changes(before, after)
        sorts = [row.cells["difference"] for row in found.rows]
        summary.append(
            Row(
                {
                    "list": name,
                    "rows_before": len(added_up(before)),
                    "rows_after": len(added_up(after)),
                    "added": sorts.count("added"),
                    "removed": sorts.count("removed"),
                    "changed": len(sorts) - sorts.count("added") - sorts.count("removed"),
                },
                tuple(dict.fromkeys(span for row in found.rows for span in row.origin))
                or tuple(dict.fromkeys(span for row in after.rows[:1] for span in row.origin)),
                "rows that are alike count once",
            )
        )
        if found.rows:
            tables.append(found)
    return Table("list-changes", "What that does to the lists", _SUMMARY, tuple(summary)), tuple(tables)


def over_units(name: str, job: Job, make: Callable[[str, Job], Table]) -> Table:
    """A list over all units. One that is by unit is made for each hookup, and its amounts taken for all units built so;
    `count` is then how many of the row there are.
    """
    table = make(name, job)
    if not any(column.key == "units" for column in table.columns):
        return table
    rows: list[Row] = []
    for hookup in job.hookups:
        alone = make(name, Job([_once(hookup)], job.settings))
        rows.extend(_times(row, len(hookup.units), table.columns) for row in alone.rows)
    columns = [column for column in table.columns if column.key not in ("count", "each")]
    return replace(table, columns=(*columns, Column("count", "Count", align="right")), rows=tuple(rows))


def _once(hookup: Hookup) -> Hookup:
    """The hookup as if one unit were built so, with the star in its tags left standing."""
    return replace(hookup, units=(UnitRef(hookup.units[0].tag, "*", hookup.units[0].span),))


def _times(row: Row, units: int, columns: Sequence[Column]) -> Row:
    cells = dict(row.cells)
    for column in columns:
        value = cells.get(column.key)
        if is_amount(column) and isinstance(value, int | float | Fraction):
            cells[column.key] = value * units
    return replace(row, cells={**cells, "count": units})


def is_amount(column: Column) -> bool:
    """Whether the numbers of a column are how much there is of a row's thing."""
    return column.adds_up or column.key in _AMOUNTS


def added_up(table: Table) -> dict[Key, Kept]:
    """The rows by what they are of, equal ones added up. A number that is no amount is a part of what they are of."""
    amounts = [column.key for column in table.columns if is_amount(column)]
    keys = key_columns(table)
    made: dict[Key, Kept] = {}
    for row in table.rows:
        cells = {column.key: row.cells.get(column.key) for column in keys}
        kept = made.setdefault(tuple(cells.values()), Kept(cells))
        kept.spans.update(dict.fromkeys(row.origin))
        for key in amounts:
            value = row.cells.get(key)
            if isinstance(value, Unknown):
                kept.unknown[key] = value
            elif isinstance(value, int | float | Fraction):
                kept.amounts[key] = kept.amounts.get(key, 0) + value
    return made


def key_columns(table: Table) -> list[Column]:
    """The columns that say what a row is of."""
    return [
        column
        for column in table.columns
        if not is_amount(column) and column.key not in _TELLS_NOTHING and not column.by_hand
    ]


def table_changes(old: Table, new: Table) -> Table:
    """The rows that differ between two states of one list, with their amounts before, after and the difference.

    Rows are the same where all that they are of is the same (`key_columns`). A difference is `not measured` where
    either amount is not known.
    """
    keys = key_columns(new) + [c for c in key_columns(old) if c.key not in {k.key for k in key_columns(new)}]
    amounts = {c.key: c for table in (new, old) for c in table.columns if is_amount(c)}
    before, after = _widened(added_up(old), keys), _widened(added_up(new), keys)
    rows = []
    for key in [*after, *(key for key in before if key not in after)]:
        one, other = before.get(key), after.get(key)
        cells = _cells(one, other, amounts)
        if cells is not None:
            kept = other or one
            assert kept is not None
            spans = {**(other.spans if other else {}), **(one.spans if one else {})}
            rows.append(Row({**kept.cells, **cells}, tuple(spans), "the same row of the list before and after"))
    columns = (
        Column("difference", "Change"),
        *keys,
        *(
            replace(c, key=f"{c.key}_{key}", title=f"{c.title} {word}", formula="", adds_up=False)
            for c in amounts.values()
            for key, word in (("before", "was"), ("after", "now"), ("change", "change"))
        ),
    )
    return Table(f"{new.name}-changes", f"{new.title}: what has changed", columns, tuple(rows))


def _widened(rows: Mapping[Key, Kept], keys: Sequence[Column]) -> dict[Key, Kept]:
    """The rows by the key columns of both lists: a column that one of them lacks is empty."""
    return {tuple(kept.cells.get(column.key) for column in keys): kept for kept in rows.values()}


def _cells(old: Kept | None, new: Kept | None, amounts: Iterable[str]) -> dict[str, Value] | None:
    """The cells of a row that differs, None where it does not."""
    cells: dict[str, Value] = {}
    less = more = other = False
    for key in amounts:
        before = old.amount(key) if old is not None else None
        after = new.amount(key) if new is not None else None
        cells[f"{key}_before"], cells[f"{key}_after"] = before, after
        change: Value
        if isinstance(before, Unknown) or isinstance(after, Unknown):
            change = NOT_MEASURED if before != after else None
            other = other or before != after
        else:
            change = _difference(before, after)
            less, more = less or _sign(change) < 0, more or _sign(change) > 0
        cells[f"{key}_change"] = change
    if old is None or new is None:
        return {"difference": "added" if old is None else "removed", **cells}
    if not (less or more or other):
        return None
    return {"difference": "more" if more and not less else "less" if less and not more else "changed", **cells}


def _difference(before: Value, after: Value) -> Value:
    if before is None and after is None:
        return None
    a, b = (value if isinstance(value, int | float | Fraction) else 0 for value in (before, after))
    difference = b - a
    return difference if isinstance(difference, Fraction) else _short(difference)


def _sign(value: Value) -> int:
    return (value > 0) - (value < 0) if isinstance(value, int | float | Fraction) else 0


def _short(value: float) -> float:
    return int(value) if value == int(value) else round(value, 4)
