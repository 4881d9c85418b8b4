"""How the lists of lineups name valves, places and units."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from ..model.hookup import Component, Hookup, UnitRef, with_number
from ..model.table import Row, Value
from .tally import units_text


def things(components: Iterable[Component]) -> tuple[str, ...]:
    """Several, in their order, each named once."""
    return tuple(dict.fromkeys(component.called for component in components))


def kinds(components: Iterable[Component]) -> tuple[str, ...]:
    """The tags, and of what has none how many there are of each kind."""
    count = Counter(component.tag or component.kind.name for component in components)
    return tuple(name if n == 1 else f"{name} ({n})" for name, n in count.items())


def stops(path: Iterable[str], hookup: Hookup) -> tuple[str, ...]:
    """The tags along a path, coils and mains among them, and the shutoffs that have none."""
    found = map(hookup.component, path)
    return things(c for c in found if c.tag or c.kind.can("isolates"))


def in_blocks(
    hookups: Sequence[Hookup], rows_of: Callable[[Hookup], Sequence[Row]], counted: bool = False
) -> tuple[Row, ...]:
    """The rows of all hookups with their units in front, `counted` if that is asked. Hookups whose rows say the same
    (the two hands of a typical) share one block; where a block is that of one unit, its number takes the place of `*`.
    """
    blocks: dict[str, tuple[list[UnitRef], Sequence[Row]]] = {}
    for hookup in hookups:
        rows = rows_of(hookup)
        units, _ = blocks.setdefault(repr([row.cells for row in rows]), ([], rows))
        units.extend(hookup.units)
    made = []
    for units, rows in blocks.values():
        number = units[0].number if len(units) == 1 else "*"
        refs = tuple((unit.tag, unit.number) for unit in sorted(units, key=lambda unit: unit.span))
        count: dict[str, Value] = {"count": len(units)} if counted else {}
        for row in rows:
            cells = {key: numbered(value, number) for key, value in row.cells.items()}
            made.append(replace(row, cells={"units": units_text(units), **count, **cells}, units=refs))
    return tuple(made)


def in_totals(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Counted rows with their `total`: what `each` unit has, times the units built so."""

    def total(row: Row) -> Value:
        each, count = row.cells["each"], row.cells["count"]
        return round(each * count, 2) if isinstance(each, int | float) and isinstance(count, int) else each

    return tuple(replace(row, cells={**row.cells, "total": total(row)}) for row in rows)


def numbered(value: Value, number: str) -> Value:
    """A cell for one unit."""
    if isinstance(value, str):
        return with_number(value, number)
    if isinstance(value, tuple):
        return tuple(with_number(text, number) for text in value)
    return value
