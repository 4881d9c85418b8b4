"""Hangers, and the floors and walls that pipe passes: small signs on the pipes of a line diagram, where the file says
them. Between which things they stand is from the file; how far along is not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..model.hookup import Hookup, Move
from .cells import SIGN, Cell, OnPipe, Placed
from .rows import Item, Row


def moves(hookup: Hookup, run: str) -> list[Move]:
    """The hangers of a component, if it is a run of pipe, and the floors and walls that it passes."""
    pipe = hookup.component(run).pipe
    return [move for move in pipe.moves if move.mark or move.through] if pipe is not None else []


def room(hookup: Hookup, item: Item) -> float:
    """How much longer the pipe before an item is for what is on it."""
    return sum(len(moves(hookup, run)) for run in item.between) * (2 * SIGN + 1.0)


def half(cell: Cell) -> float:
    """How far what stands on the pipe reaches along it."""
    reach = [
        max(part.turn.reach(part.symbol)[:2])
        for part in cell.parts
        if isinstance(part, Placed) and part.x == part.y == 0.0
    ]
    return max(reach, default=6.0)


def signs(
    hookup: Hookup,
    row: Row,
    y: float,
    before: float | None,
    x: Mapping[Item, float],
    cells: Mapping[Item, Cell],
    uprights: Sequence[tuple[float, float, float]],
) -> Iterator[OnPipe]:
    """What is on the pipes of a row, evenly between the things at their two ends. `before`: where the first of its
    pipes begins, None if it begins nowhere."""
    done: set[str] = set()
    for item in row.items:
        end = x[item] - half(cells[item])
        runs = [run for run in item.between if run not in done]
        done.update(runs)
        found = [(run, move) for run in runs for move in moves(hookup, run)[:: row.sense]]
        start = end - room(hookup, item) if before is None else before
        step = (end - start) / (len(found) + 1)
        for number, (run, move) in enumerate(found, 1):
            sign, about = ("through", f"through {move.through}") if move.through else ("hanger", move.mark)
            at = f"{move.span.file}:{move.span.line}"
            yield OnPipe(sign, _clear(start + number * step, y, uprights), y, run, about, at)
        before = x[item] + half(cells[item])


def _clear(x: float, y: float, uprights: Sequence[tuple[float, float, float]]) -> float:
    """The place, or one beside it where an upright pipe runs."""
    for at, high, low in uprights:
        if high < y < low and abs(at - x) < SIGN + 2.0:
            return at + (SIGN + 2.0 if x >= at else -SIGN - 2.0)
    return x
