"""A hookup read for its line diagram: bands of rows, each row the things on one line, and what hangs on them.

Everything is told outward: from the coil's side of the sheet to that of the mains. Which of the two is left and which
right is settled later, so that both hands come from the same rows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from ..model.hookup import Component, Hookup, Joint, LineInfo
from ..takeoff.lineups import parts_by_line
from .symbols import is_reducing

Way = Literal["up", "down"]
#: Ports at which something can hang on a thing in a line.
_SIDES = ("branch", "bypass")
_THROUGH = {"in": "out", "out": "in"}


@dataclass(slots=True, eq=False)
class Twig:
    """What hangs on one side of a thing, nearest first; each with the twig on its own side, if any."""

    parts: list[tuple[Component, Twig | None]]
    way: Way = "up"

    def every(self) -> Iterator[Component]:
        """All its components."""
        for component, side in self.parts:
            yield component
            if side is not None:
                yield from side.every()


@dataclass(slots=True, eq=False)
class Item:
    """A thing on a row. Without a component it is a text, such as the name of the line, or the place of a fold."""

    component: Component | None
    between: tuple[str, ...] = ()  # the components on the line between the item before it (inward) and itself
    twig: Twig | None = None
    joined: bool = False  # another line meets it
    size_said: bool = False  # its size differs from that of its line there
    text: tuple[str, ...] = ()
    names: bool = False  # the text is the name of the line
    leg: Way | None = None  # where that other line leaves it, once rows have their order
    open_side: bool = False  # nothing is joined to its side
    corner: tuple[str, ...] = ()  # where it turns to the other port of a coil: what its pipe lies between there
    goes_on: tuple[str, str] | None = None  # where a long row is folded: the letter there, and the next component's id


@dataclass(frozen=True, slots=True)
class End:
    """What a row ends at: a coil's port, a main, a thing on another row, a turn of its line, or nothing (`open`)."""

    kind: Literal["coil", "main", "joint", "open", "corner"]
    component: Component | None = None
    port: str = ""
    item: Item | None = None  # of a `corner`: where the line turns to this row


@dataclass(slots=True, eq=False)
class Row:
    """One line of the hookup on the sheet. `sense`: 1 if it flows outward, -1 inward.

    `tail` are the components on the line beyond its last item, as `between` of an item.
    """

    info: LineInfo | None
    items: list[Item]
    inner: End
    outer: End
    sense: int
    tail: tuple[str, ...] = ()
    sizes: tuple[str, str] = ("", "")  # nominal, at its inner and its outer end

    def write(self, lines: Sequence[str], *, inner: bool, names: bool = False) -> Item:
        """Put a text on the pipe at one end; the pieces of pipe on its two sides carry the same."""
        item = Item(None, text=tuple(lines), names=names)
        if inner:
            item.between = self.items[0].between if self.items else self.tail
            self.items.insert(0, item)
        elif self.items and self.items[-1].corner:  # what is beyond the turn is another row
            item.between = self.items[-1].between
            self.items.insert(-1, item)
        else:
            item.between = self.tail
            self.items.append(item)
        return item

    def folded(self, at: int, letter: str) -> Row:
        """Cut the row before an item; what lies beyond becomes a row of its own, which is returned."""
        near, far = self.items[at - 1].component, self.items[at].component
        between = self.items[at].between
        here = Item(None, between, goes_on=(letter, far.id if far is not None else ""))
        there = Item(None, goes_on=(letter, near.id if near is not None else ""))
        rest = Row(
            self.info, [there, *self.items[at:]], End("open"), self.outer, self.sense, self.tail, ("", self.sizes[1])
        )
        self.items[at:] = [here]
        self.outer, self.tail = End("open"), ()
        return rest

    def turned(self) -> Row:
        """The same row the other way round."""
        gaps = [*(item.between for item in self.items), self.tail][::-1]
        gaps = [gap[::-1] for gap in gaps]
        items = self.items[::-1]
        for item, gap in zip(items, gaps, strict=False):
            item.between = gap
        return Row(self.info, items, self.outer, self.inner, -self.sense, gaps[-1], self.sizes[::-1])


@dataclass(slots=True, eq=False)
class Band:
    """A coil with its two rows, the higher first, and the rows of other lines: `within` it and `below` it."""

    coil: Component
    top: Row
    bottom: Row
    shift: int  # how far it stands along the air, in steps
    taps: list[Twig] = field(default_factory=list)
    within: list[Row] = field(default_factory=list)
    below: list[Row] = field(default_factory=list)


class Reading:
    """The bands of a hookup. `mains_left`: with air from left to right its mains lie at the left."""

    def __init__(self, hookup: Hookup) -> None:
        self.hookup = hookup
        self._sides: dict[tuple[str, str], tuple[str, str]] = {}
        self._joint: dict[tuple[str, str], Joint] = {}
        for u, v, joint in hookup.joints():
            self._sides[u, joint.port_a] = (v, joint.port_b)
            self._sides[v, joint.port_b] = (u, joint.port_a)
            self._joint[u, v] = joint
        self._parts = parts_by_line(hookup)
        self._on_line = {c.id for parts in self._parts.values() for c in parts}
        self.mains_left = _mains_left(hookup)
        self.bands: list[Band] = []
        self.loose: list[Row] = []  # rows of lines that no coil's band takes
        self._read()

    def shown(self) -> list[Component]:
        """The components with a symbol: those in the lines themselves, coils and mains, then what hangs on them."""
        rows = [row for band in self.bands for row in (band.top, *band.within, band.bottom, *band.below)] + self.loose
        items = [item for row in rows for item in row.items]
        found = [item.component for item in items if item.component is not None]
        found += [band.coil for band in self.bands]
        found += [row.outer.component for row in rows if row.outer.kind == "main" and row.outer.component is not None]
        twigs = [item.twig for item in items if item.twig is not None] + [t for band in self.bands for t in band.taps]
        return found + [component for twig in twigs for component in twig.every()]

    # -- bands --------------------------------------------------------------------------------------------------

    def _read(self) -> None:
        rows: dict[tuple[str, str], Row] = {}
        others: list[Row] = []
        for line, parts in self._parts.items():
            row = self._row(self.hookup.lines[line], parts)
            if row.outer.kind == "coil" and row.inner.kind != "coil":
                row = row.turned()
            if row.inner.kind == "coil" and row.inner.component is not None:
                rows[row.inner.component.id, row.inner.port] = row
            else:
                others.append(row)
        for tag, facts in self.hookup.coils.items():
            if tag not in self.hookup.graph:
                continue
            coil = self.hookup.component(tag)
            made = [rows.get((tag, port)) or self._empty(coil, port) for port in ("return", "supply")]
            supply, back = facts.ports.get("supply"), facts.ports.get("return")
            over = (supply is not None and supply.level == "high") and not (back is not None and back.level == "high")
            top, bottom = made[::-1] if over else made
            taps = [twig for role in ("vent", "drain") if (twig := self._twig(tag, f"{role} tap")) is not None]
            for twig, way in zip(taps, ("up", "down") if len(taps) == 2 else _ways(taps), strict=False):
                twig.way = "up" if way == "up" else "down"
            self.bands.append(Band(coil, top, bottom, len(self.bands), taps))
        self._turn_to_coils()
        self._join_stacked()
        self._place(others)

    def _empty(self, coil: Component, port: str) -> Row:
        return Row(None, [], End("coil", coil, port), End("open"), 1 if port == "return" else -1)

    def _turn_to_coils(self) -> None:
        """A line from coil to coil stands on the row of the one; at its end it turns to the free port of the other."""
        free = {(b.coil.id, row.inner.port): row for b in self.bands for row in (b.top, b.bottom) if row.info is None}
        for band in self.bands:
            for row in (band.top, band.bottom):
                coil = row.outer.component
                if row.outer.kind != "coil" or coil is None or (coil.id, row.outer.port) not in free:
                    continue
                other = free.pop((coil.id, row.outer.port))
                last = [item.component.id for item in row.items[-1:] if item.component is not None]
                corner = Item(None, row.tail, corner=(*row.tail, *last, coil.id))
                row.items.append(corner)
                row.outer, row.tail = End("open"), ()
                other.outer, other.tail = End("corner", item=corner), corner.corner[:-1]

    def _join_stacked(self) -> None:
        """A coil whose line comes off that of another and rises or falls stands over or under that one."""
        for band in list(self.bands):
            for row in (band.bottom, band.top):
                if row.outer.kind != "joint" or row.outer.component is None or row.info is None:
                    continue
                other = next((b for b in self.bands if b is not band and _has(b, row.outer.component)), None)
                rise = sum(move.rise for line, move in self.hookup.moves if line == row.info.id) * -row.sense
                if other is not None and rise:
                    self.bands.remove(band)
                    self.bands.insert(self.bands.index(other) + (rise < 0), band)
                    band.shift = other.shift
                    break
        steps = sorted({band.shift for band in self.bands})
        for band in self.bands:
            band.shift = steps.index(band.shift)

    def _place(self, waiting: list[Row]) -> None:
        """Lines that no coil ends: within a band if both ends lie in it, else below the higher of theirs."""
        while waiting:
            left = []
            for row in waiting:
                homes = [self._home(end.component) for end in (row.inner, row.outer) if end.kind == "joint"]
                if any(home is None for home in homes):
                    left.append(row)
                    continue
                bands = sorted({home for home in homes if home is not None})
                if not bands:
                    self.loose.append(row)
                elif len(bands) == 1 and len(homes) == 2:
                    self.bands[bands[0]].within.append(row)
                else:
                    self.bands[bands[0]].below.append(row)
            if len(left) == len(waiting):
                for row in left:  # it joins something that no row holds: its ends are said in words
                    self.loose.append(row)
                return
            waiting = left

    def _home(self, component: Component | None) -> int | None:
        for number, band in enumerate(self.bands):
            if component is not None and _has(band, component):
                return number
        return None

    # -- rows ---------------------------------------------------------------------------------------------------

    def _row(self, info: LineInfo, parts: Sequence[Component]) -> Row:
        """A line in flow order."""
        first, last = parts[0], parts[-1]
        inner = self._end(info, first, self._port(first, parts[1], 0))
        outer = self._end(info, last, self._port(parts[-2], last, 1))
        size = info.size
        items: list[Item] = []
        gap: list[str] = []
        for part in parts[1:] if outer.kind == "open" else parts[1:-1]:
            item = self._item(part)
            if item is None:
                gap.append(part.id)
                continue
            if is_reducing(part):
                size = size if part.between or "out" not in part.ends else part.ends["out"].size
            else:
                item.size_said = part.size is not size and part.kind.ports != "tee"
            item.between, gap = tuple(gap), []
            items.append(item)
        return Row(info, items, inner, outer, 1, tuple(gap), (info.size.label, size.label))

    def _port(self, u: Component, v: Component, side: int) -> str:
        joint = self._joint.get((u.id, v.id))
        return (joint.port_a, joint.port_b)[side] if joint is not None else ""

    def _end(self, info: LineInfo, component: Component, port: str) -> End:
        if component.line == info.id:
            return End("open")
        if component.kind.ports in ("coil", "main"):
            return End("coil" if component.kind.ports == "coil" else "main", component, port)
        return End("joint", component, port)

    def _item(self, part: Component) -> Item | None:
        """What is drawn of a component on a line; None for pipe, elbows, flanges and what else only joins."""
        side = next((port for port in _SIDES if (part.id, port) in self._sides), "")
        if side:
            other = self._sides[part.id, side][0]
            twig = None if other in self._on_line else self._twig(part.id, side)
            return Item(part, twig=twig, joined=twig is None)
        if part.kind.ports == "tee":
            return Item(part, open_side=True)
        joins_only = part.kind.group in ("fittings", "pipe", "flanges")
        speaks = part.kind.can("breaks") or part.kind.can("separates metals") or is_reducing(part)
        if part.pipe is not None or (joins_only and not (speaks and part.kind.group != "flanges")):
            return None
        return Item(part)

    # -- what hangs on them -------------------------------------------------------------------------------------

    def _twig(self, at: str, port: str) -> Twig | None:
        parts: list[tuple[Component, Twig | None]] = []
        on, seen = at, {at}
        while (at, port) in self._sides:
            at, back = self._sides[at, port]
            if at in seen or at in self._on_line:
                break
            seen.add(at)
            component = self.hookup.component(at)
            side = next((self._twig(at, p) for p in _SIDES if p != back and (at, p) in self._sides), None)
            if component.pipe is None and (side is not None or _shown_on_twig(component)):
                parts.append((component, side))
            port = _THROUGH.get(back, "out")
        if not parts:
            return None
        return Twig(parts, _way_of(self.hookup.component(on), parts))


def _shown_on_twig(component: Component) -> bool:
    kind = component.kind
    return kind.group not in ("fittings", "pipe", "flanges") or kind.ports == "end" or kind.can("separates metals")


def _way_of(on: Component, parts: Sequence[tuple[Component, Twig | None]]) -> Way:
    """Up or down: as the file says it, else down for what drains or hangs on a strainer, and up for the rest."""
    for component, _ in parts:
        if component.heading in ("up", "down"):
            return "up" if component.heading == "up" else "down"
    end, role = parts[-1][0], next((c.role for c, _ in parts if c.role), "")
    if role in ("drain", "vent"):
        return "down" if role == "drain" else "up"
    return "down" if end.kind.can("drains") or on.kind.can("strains") else "up"


def _ways(taps: Sequence[Twig]) -> tuple[Way, ...]:
    return tuple(twig.way for twig in taps)


def _has(band: Band, component: Component) -> bool:
    rows = (band.top, band.bottom, *band.within, *band.below)
    return any(item.component is component for row in rows for item in row.items)


def _mains_left(hookup: Hookup) -> bool:
    """Whether, with air from left to right, the lines come from the left: as their moves say, else from the right,
    which is the leaving side, where the supply of a coil that runs against the air is (common practice, no source)."""
    toward_left = 0
    for line, move in hookup.moves:
        word = hookup.lines[line].word if line in hookup.lines else ""
        sense = {"supply": 1, "return": -1}.get(word, 0)
        for leg in move.legs:
            toward_left += sense * {"left": 1, "right": -1}.get(leg.direction, 0)
    return (toward_left if hookup.airflow == "right to left" else -toward_left) > 0
