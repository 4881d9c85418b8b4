"""Columns: which items of all rows stand above each other, so that no upright pipe runs through an item.

Rows say what comes before what, lines that join two rows say how far apart the two joints stand, and each upright pipe
keeps its column free in the rows that it passes. All of it is `this node at least so far out as that one`, so columns
are longest ways through a graph without rings; a conflict that is left adds one more such rule until none is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from .rows import End, Item, Row


@dataclass(frozen=True, slots=True)
class Upright:
    """An upright pipe in the column of `item`, from its row to the row of the line that meets it there."""

    item: Item
    home: int  # number of the row of the item
    away: int  # number of the row that it leads to

    @property
    def span(self) -> tuple[int, int]:
        """Its two rows, the upper first."""
        return min(self.home, self.away), max(self.home, self.away)


class Columns:
    """Columns of all items of some rows, counted outward from 0. `rows` are in order from the top of the sheet.

    Rows between two joints may be turned so that they run outward (in place, in `rows`).
    """

    def __init__(self, rows: list[Row]) -> None:
        self.rows = rows
        self._after: dict[Item, dict[Item, None]] = defaultdict(dict)  # item -> those that stand further out
        self._row_of = {item: number for number, row in enumerate(rows) for item in row.items}
        self._holder = {item.component.id: item for item in self._row_of if item.component is not None}
        self.uprights: list[Upright] = []
        for row in rows:
            self._chain(row.items)
        for number in range(len(rows)):
            self._tie(number)
        self.column = self._settle()

    def joint(self, row: Row, *, inner: bool) -> Item | None:
        """The item of another row that a row ends at."""
        end = row.inner if inner else row.outer
        if end.kind == "corner":
            return end.item
        if end.kind != "joint" or end.component is None:
            return None
        return self._holder.get(end.component.id)

    def _chain(self, items: Sequence[Item]) -> bool:
        """Each of some items further out than the one before; whether that could be."""
        for inward, outward in pairwise(items):
            if self._leads(outward, inward):
                return False
            self._after[inward][outward] = None
        return True

    def _leads(self, start: Item, goal: Item) -> bool:
        seen, todo = {start}, [start]
        while todo:
            at = todo.pop()
            if at is goal:
                return True
            fresh = [item for item in self._after[at] if item not in seen]
            seen.update(fresh)
            todo.extend(fresh)
        return False

    def _tie(self, number: int) -> None:
        """Put a row between the joints that it ends at. An end that cannot be led there is said in words."""
        inner, outer = self._met(number, inner=True), self._met(number, inner=False)
        if inner is not None and outer is not None and self._turns(inner, outer):
            self._turn(number)
            inner, outer = outer, inner
        row = self.rows[number]
        if inner is not None and not self._chain([inner, *row.items[:1]]):
            self._say(number, inner=True)
            inner = None
        last = row.items[-1:] or ([inner] if inner is not None else [])
        if outer is not None and not self._chain([*last, outer]):
            self._say(number, inner=False)
            outer = None
        for item in (inner, outer):
            if item is not None:
                self.uprights.append(Upright(item, self._row_of[item], number))

    def _met(self, number: int, *, inner: bool) -> Item | None:
        row = self.rows[number]
        joint = self.joint(row, inner=inner)
        end = row.inner if inner else row.outer
        if joint is None and (end.kind == "joint" or (end.kind == "coil" and not inner)):
            self._say(number, inner=inner)
        return joint

    def _say(self, number: int, *, inner: bool) -> None:
        """Say in words where a row ends."""
        row = self.rows[number]
        end = row.inner if inner else row.outer
        component = end.component
        assert component is not None
        word = "from" if inner == (row.sense > 0) else "to"
        port = f" {end.port}" if end.kind == "coil" else ""
        item = row.write([f"{word} {component.label}{port}"], inner=inner)
        self._row_of[item] = number
        self._chain(row.items[:2] if inner else row.items[-2:])
        if inner:
            row.inner = End("open")
        else:
            row.outer = End("open")

    def _turn(self, number: int) -> None:
        """Turn a row round, so that it runs outward."""
        for inward, outward in pairwise(self.rows[number].items):
            del self._after[inward][outward]
        self.rows[number] = row = self.rows[number].turned()
        self._chain(row.items)

    def _turns(self, inner: Item, outer: Item) -> bool:
        """Whether what a row's flow starts at has to be its outer end, or had better be."""
        if self._leads(outer, inner):
            return True
        return not self._leads(inner, outer) and self._place(outer) < self._place(inner)

    def _place(self, item: Item) -> int:
        return self.rows[self._row_of[item]].items.index(item)

    # -- settling -----------------------------------------------------------------------------------------------

    def _settle(self) -> dict[Item, int]:
        while True:
            column = self._longest()
            clashes = self._clashes(column)
            if not clashes:
                return column
            inward, outward = clashes[0]
            if self._leads(outward, inward):
                inward, outward = outward, inward
            self._after[inward][outward] = None

    def _longest(self) -> dict[Item, int]:
        before = dict.fromkeys(self._row_of, 0)
        for further in self._after.values():
            for item in further:
                before[item] += 1
        column = dict.fromkeys(self._row_of, 0)
        ready = [item for item, count in before.items() if not count]
        while ready:
            at = ready.pop()
            for item in self._after[at]:
                column[item] = max(column[item], column[at] + 1)
                before[item] -= 1
                if not before[item]:
                    ready.append(item)
        return column

    def _clashes(self, column: dict[Item, int]) -> list[tuple[Item, Item]]:
        """Pairs of items that must not share the column that they share; the first is the one that stays."""
        at = {(self._row_of[item], number): item for item, number in column.items()}
        found = []
        for upright in self.uprights:
            low, high = upright.span
            for row in range(low, high + 1):
                item = at.get((row, column[upright.item]))
                if item is not None and item is not upright.item:
                    found.append((upright.item, item))
        for n, one in enumerate(self.uprights):
            for other in self.uprights[n + 1 :]:
                shares = column[one.item] == column[other.item] and one.item is not other.item
                if shares and one.span[0] <= other.span[1] and other.span[0] <= one.span[1]:
                    found.append((one.item, other.item))
        return found
