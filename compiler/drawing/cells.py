"""A thing on a row with all that belongs to it: its symbol, what hangs on it, its labels and the numbers of findings.

Everything is placed around the point where the pipe of its row meets the middle of its column, outward along x.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from ..model.hookup import Component, with_number
from ..model.size import Size
from ..takeoff.describe import size_text
from .rows import Item, Row, Twig
from .svg import BOLD, text_width, wrapped
from .symbols import Symbol, Turn, is_reducing, named, symbol_of, turned_over, widens
from .wording import INCH_POUND, Wording

#: Letters of labels and the step from line to line, in pixels: 10 px are 7.5 points on paper.
LETTERS, STEP = 10.0, 11.5
#: The radius of a finding's number, and the room that one takes.
MARK, MARK_ROOM = 6.5, 15.0
_NARROW, _WIDE = 54.0, 68.0
_BIT = 3.0


class Placed(NamedTuple):
    """A symbol. `x`, `y`: where its pipe runs through it."""

    symbol: Symbol
    x: float
    y: float
    turn: Turn
    component: Component | None


class Label(NamedTuple):
    """Lines of text in a box; `anchor` is where they stand in it: `start` is its inward edge."""

    lines: tuple[str, ...]
    x: float
    y: float
    width: float
    anchor: str
    of: str
    bold: bool = False

    @property
    def height(self) -> float:
        """The height of the box."""
        return len(self.lines) * STEP


class Mark(NamedTuple):
    """The number of a finding, in a circle around `x`, `y`."""

    number: int
    x: float
    y: float
    of: str


class Pipe(NamedTuple):
    """A straight piece of pipe that carries what the components `ids` carry. `arrow`: 1 with an arrow in its middle
    from its first end to its second, -1 the other way. `thin`: it is a branch that ends."""

    x1: float
    y1: float
    x2: float
    y2: float
    ids: tuple[str, ...]
    arrow: int = 0
    thin: bool = False


class OnPipe(NamedTuple):
    """A small sign on a pipe around `x`, `y`, of a run of pipe: `hanger`, or `through` a floor or wall, with what is to
    be known of it and the line of the file that says it."""

    sign: str
    x: float
    y: float
    of: str
    about: str
    at: str


#: How far such a sign reaches to all sides: no further than labels come near a pipe.
SIGN = 3.5

Part = Placed | Label | Mark | Pipe | OnPipe


@dataclass(slots=True)
class Cell:
    """Parts, and how far they reach to the four sides."""

    parts: list[Part] = field(default_factory=list)
    left: float = 0.0
    right: float = 0.0
    up: float = 0.0
    down: float = 0.0

    def stretch(self, left: float, right: float, up: float, down: float) -> None:
        """Reach at least so far."""
        self.left, self.right = max(self.left, left), max(self.right, right)
        self.up, self.down = max(self.up, up), max(self.down, down)

    def put(self, other: Cell, dx: float, dy: float) -> None:
        """Take in the parts of another cell, moved."""
        self.parts.extend(moved(part, dx, dy) for part in other.parts)
        self.stretch(other.left - dx, other.right + dx, other.up - dy, other.down + dy)


def moved(part: Part, dx: float, dy: float) -> Part:
    """A part somewhere else."""
    if isinstance(part, Pipe):
        return part._replace(x1=part.x1 + dx, x2=part.x2 + dx, y1=part.y1 + dy, y2=part.y2 + dy)
    return part._replace(x=part.x + dx, y=part.y + dy)


def label(lines: Sequence[str], x: float, y: float, of: str, anchor: str = "middle", *, bold: bool = False) -> Label:
    """Lines around `x` (beginning there for `start`), their box from `y` downward."""
    width = max((text_width(line, LETTERS) for line in lines), default=0.0) * (BOLD if bold else 1.0)
    return Label(tuple(lines), x - width / 2 if anchor == "middle" else x, y, width, anchor, of, bold)


class Cells:
    """Makes the cells of a hookup. `number`: what takes the place of `*` in tags; `marks`: findings by component."""

    def __init__(self, number: str, marks: Mapping[str, Sequence[int]], wording: Wording = INCH_POUND) -> None:
        self._number, self.wording = number, wording
        self._marks = marks
        self._made: dict[tuple[object, ...], Cell] = {}

    def tag(self, component: Component) -> str:
        """The tag as printed."""
        return with_number(component.tag, self._number)

    def size(self, size: Size) -> str:
        """A nominal size as printed."""
        return self.wording.size(size.label)

    # -- a thing on a row ---------------------------------------------------------------------------------------

    def cell(self, item: Item, row: Row) -> Cell:
        """The cell of an item of a row; of one that has been laid out so before, the same."""
        of = item.component.id if item.component is not None else row.info.id if row.info is not None else ""
        told = (
            of,
            item.text,
            item.names,
            item.goes_on,
            item.corner,
            item.leg,
            item.joined,
            item.size_said,
            item.open_side,
        )
        key = (*told, row.sense > 0)
        if key not in self._made:
            self._made[key] = self._cell(item, row)
        return self._made[key]

    def _cell(self, item: Item, row: Row) -> Cell:
        cell = Cell()
        component = item.component
        if item.goes_on is not None:
            symbol = replace(named("fold"), letters=item.goes_on[0])
            cell.parts.append(Placed(symbol, 0.0, 0.0, Turn(), None))
            cell.stretch(*Turn().reach(symbol))
            return cell
        if item.corner:
            cell.stretch(4, 4, 4, 4)
            return cell
        if component is None:
            of = row.info.id if row.info is not None else ""
            cell.stretch(8, 8, 6, 6)
            marks = self._marks.get(f"line {of}", ()) if item.names else ()
            lines = [line for text in item.text for line in wrapped(with_number(text, self._number), LETTERS, _WIDE)]
            self._stack(cell, lines, marks, "up", of)
            return cell
        busy = item.twig.way if item.twig is not None else item.leg
        with_flow = row.sense > 0 if not widens(component) else row.sense < 0
        turn = Turn(
            "right" if with_flow else "left", (busy == "up" and component.kind.ports != "tee") or turned_over(component)
        )
        symbol = symbol_of(component)
        cell.parts.append(Placed(symbol, 0.0, 0.0, turn, component))
        cell.stretch(*turn.reach(symbol))
        if item.open_side:
            symbol, busy = named("open end"), "up"
            cell.parts.append(Pipe(0, 0, 0, -12, (component.id,), thin=True))
            cell.parts.append(Placed(symbol, 0, -12, Turn("up"), None))
            cell.stretch(4, 4, 16, 0)
        if item.twig is not None:
            self._hang(cell, item.twig, component)
        free = "down" if busy == "up" else "up"
        marks = self._marks.get(component.id, ())
        tag, notes = self._names(component, item), self._notes(component)
        if busy is None:
            self._stack(cell, tag, marks, "up", component.id)
            self._stack(cell, notes, (), "down", component.id)
        else:
            self._stack(cell, [*tag, *notes], marks, free, component.id)
        return cell

    def _names(self, component: Component, item: Item) -> list[str]:
        lines = wrapped(self.tag(component), LETTERS, _WIDE) if component.tag else []
        if is_reducing(component):
            large, _, small = size_text(component).partition(" x ")
            size = self.wording.size
            return [*lines, size(large), *([f"× {size(small)}"] if small else [])]
        unnamed = component.kind.ports != "tee" and not component.tag and not component.kind.can("breaks")
        if unnamed:
            lines = wrapped(component.kind.name, LETTERS, _NARROW)
        if item.joined and component.branch_size is not None and component.branch_size is not component.size:
            lines.append(f"{self.size(component.size)} × {self.size(component.branch_size)}")
        elif item.size_said:
            lines.append(self.size(component.size))
        if component.kind.ports == "main":
            lines = [*lines, self.size(component.size), *wrapped(component.service, LETTERS, _WIDE)]
        return lines

    def _notes(self, component: Component) -> list[str]:
        if component.kind.group in ("fittings", "ends"):
            return []
        return wrapped(self.wording.text(", ".join(component.remarks)), LETTERS, _NARROW, most=5)

    def _stack(self, cell: Cell, lines: Sequence[str], marks: Sequence[int], way: str, of: str) -> None:
        """Put numbers of findings and lines of text above or below what the cell holds already."""
        for start in range(0, len(marks), 3):
            some = marks[start : start + 3]
            y = cell.down + _BIT + MARK if way == "down" else -(cell.up + _BIT + MARK)
            first = -(len(some) - 1) * MARK_ROOM / 2
            cell.parts.extend(Mark(number, first + n * MARK_ROOM, y, of) for n, number in enumerate(some))
            half = len(some) * MARK_ROOM / 2
            cell.stretch(half, half, MARK - y, y + MARK)
        if lines:
            height = len(lines) * STEP
            made = label(lines, 0.0, cell.down + _BIT if way == "down" else -(cell.up + _BIT + height), of)
            cell.parts.append(made)
            cell.stretch(made.width / 2, made.width / 2, -made.y, made.y + height)

    # -- what hangs on it ---------------------------------------------------------------------------------------

    def _hang(self, cell: Cell, twig: Twig, on: Component) -> None:
        start = cell.up if twig.way == "up" else cell.down
        hung = self.twig(twig, start, (on.id,))
        cell.put(hung, 0.0, 0.0)

    def twig(self, twig: Twig, start: float, ids: tuple[str, ...]) -> Cell:
        """A branch from the point 0,0: its pipe begins there, its first symbol beyond `start`."""
        sign = -1.0 if twig.way == "up" else 1.0
        turn = Turn(twig.way)
        cell, sides = Cell(), list[tuple[Twig, float, Component]]()
        at = start + 5.0
        for component, side in twig.parts:
            symbol = symbol_of(component)
            at += symbol.left
            cell.parts.append(Placed(symbol, 0.0, sign * at, turn, component))
            left, right, _, _ = turn.reach(symbol)
            cell.stretch(left, right, 0, 0)
            if side is not None:
                sides.append((side, at, component))
            end = at
            at += symbol.right + 4.0
        last = twig.parts[-1][0]
        if last.kind.ports != "end":
            opened = named("open end")
            cell.parts.append(Placed(opened, 0.0, sign * at, turn, None))
            end, at = at, at + opened.right + 4.0
        cell.parts.insert(0, Pipe(0.0, 0.0, 0.0, sign * end, (*ids, *(c.id for c, _ in twig.parts)), thin=True))
        reach = at - 4.0
        cell.stretch(0, 0, *((reach, 0) if twig.way == "up" else (0, reach)))
        marks = tuple(dict.fromkeys(n for c, _ in twig.parts for n in self._marks.get(c.id, ())))
        self._stack(cell, self._twig_names(twig), marks, twig.way, twig.parts[-1][0].id)
        for side, from_, component in sides:
            side.way = twig.way
            hung = self.twig(side, 2.0, (component.id,))
            dx = cell.right + hung.left + 6.0
            cell.parts.insert(0, Pipe(0.0, sign * from_, dx, sign * from_, (component.id,), thin=True))
            cell.put(hung, dx, sign * from_)
        return cell

    def _twig_names(self, twig: Twig) -> list[str]:
        """Tags of what hangs there; where there is none, what it is for, or what stands at its end; and its size."""
        parts = [component for component, _ in twig.parts]
        lines: list[str] = []
        for component in parts:
            if component.tag:
                lines += wrapped(self.tag(component), LETTERS, _WIDE)
        if not lines:
            end = parts[-1]
            speaks = end.kind.group in ("specialties", "instruments")
            name = end.kind.name if speaks else next((c.role for c in parts if c.role), "") or end.kind.name
            lines = wrapped(name, LETTERS, _NARROW)
        return [*lines, self.size(parts[0].size)]
