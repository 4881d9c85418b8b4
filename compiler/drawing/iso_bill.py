"""What stands beside an isometric: its pieces, cuts and welds, with the numbers of the lists."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

from ..model.hookup import Component, Hookup
from ..model.span import Origin
from ..takeoff.cut_pieces import CutPiece
from ..takeoff.describe import description, size_text
from ..takeoff.pieces_of_pipe import is_cut_pipe, pipe_pieces
from ..takeoff.spool_lists import SpoolItem
from ..takeoff.welding import BRANCH, Weld
from .wording import Wording


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a small table: its cells as text, and where in the files it comes from."""

    cells: tuple[str, ...]
    at: str


@dataclass(frozen=True, slots=True)
class SmallTable:
    """A table beside the drawing. `right`: the columns that are set to the right."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[Line, ...]
    right: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """One piece of a drawing: its number, size and name, the component that carries the number, where it is from."""

    number: int
    size: str
    piece: str
    component: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Items:
    """The numbered pieces of a drawing. Those of a line are `counted`: what is alike has one number."""

    title: str
    entries: tuple[Entry, ...]
    counted: bool

    @property
    def numbers(self) -> dict[str, tuple[str, ...]]:
        """By component the numbers that point at it."""
        made: dict[str, tuple[str, ...]] = {}
        for entry in self.entries:
            made[entry.component] = (*made.get(entry.component, ()), str(entry.number))
        return made

    def table(self, wording: Wording) -> SmallTable:
        """Size, piece and, if they are counted, count of every number."""
        found: dict[int, list[Entry]] = {}
        for entry in self.entries:
            found.setdefault(entry.number, []).append(entry)
        rows = []
        for number, alike in sorted(found.items()):
            cells = (str(number), wording.size(alike[0].size), alike[0].piece)
            where = spans(tuple(span for entry in alike for span in entry.origin))
            rows.append(Line((*cells, str(len(alike))) if self.counted else cells, where))
        heads = ("Item", "Size", "Piece", "Count") if self.counted else ("Item", "Size", "Piece")
        return SmallTable(self.title, heads, tuple(rows), (0, 3) if self.counted else (0,))

    def on_sheet(self, title: str, ids: Collection[str]) -> Items:
        """Those of one sheet of several, with the numbers that they have: the components `ids` are on it."""
        return Items(title, tuple(entry for entry in self.entries if entry.component in ids), self.counted)


def spool_items(mark: str, items: Sequence[SpoolItem]) -> Items:
    """Those of a spool, as its sheet numbers them."""
    entries = [
        Entry(
            item.number,
            str(item.row.cells["size"]),
            str(item.row.cells["piece"]),
            item.components[0].id,
            item.row.origin,
        )
        for item in items
    ]
    return Items(f"Pieces of {mark}", tuple(entries), counted=False)


def line_items(name: str, line: str, hookup: Hookup, shown: Iterable[Component]) -> Items:
    """The bill of a line: what is alike has one number, given in flow order. Gaskets and bolts are not in it."""
    piece_of = {c.id: piece for piece in pipe_pieces(hookup) for c in piece.components}
    order: dict[tuple[str, str], int] = {}
    entries: list[Entry] = []
    counted: set[int] = set()

    def count(component: Component, size: str, piece: str) -> None:
        number = order.setdefault((size, piece), len(order) + 1)
        entries.append(Entry(number, size, piece, component.id, component.origin))

    for component in shown:
        if component.line != line or component.kind.ports in ("coil", "main"):
            continue
        piece = piece_of.get(component.id)
        if piece is not None and id(piece) not in counted:
            counted.add(id(piece))
            runs = [c for c in piece.components if c.pipe is not None]
            count(component, component.size.label, description(runs[0]) if runs else "pipe under the outlet")
        if piece is None or not is_run(component):
            count(component, size_text(component), description(component))
    return Items(f"Bill of {name}", tuple(entries), counted=True)


def is_run(component: Component) -> bool:
    """Whether it is pipe and nothing else: an outlet is pipe and a fitting."""
    return is_cut_pipe(component) and component.pipe is not None


def cut_table(cuts: Sequence[tuple[int, CutPiece]], said: Callable[[str], str] | None, wording: Wording) -> SmallTable:
    """Pieces of pipe with the numbers and lengths of the list `cuts`, and with the spools that they go into: `said`
    puts the unit's number into a mark. Without it, the spool is that of the sheet."""
    rows = []
    for number, piece in cuts:
        length = wording.of(piece.length) + (f", {wording.of(piece.over)} over" if piece.over else "")
        where = () if said is None else (said(piece.mark),)
        rows.append(Line((f"P{number}", wording.size(piece.size.label), length, *where), spans(piece.origin)))
    heads = ("Cut", "Size", "Length", *(() if said is None else ("Spool or line",)))
    return SmallTable("Cuts, end to end", heads, tuple(rows))


def weld_table(welds: Sequence[Weld], wording: Wording) -> SmallTable:
    """Welds with the numbers of the list `welds`."""
    rows = tuple(
        Line(
            (
                f"W{weld.number}",
                wording.size(f"{weld.size} x {weld.branch_size}" if weld.kind == BRANCH else weld.size.label),
                weld.kind,
                "field" if weld.field else "shop",
            ),
            spans(weld.origin),
        )
        for weld in welds
    )
    return SmallTable("Welds", ("Weld", "Size", "Kind", "Made"), rows)


def spans(origin: Origin) -> str:
    """Places in files as `FILE:LINE`, each once."""
    return " ".join(dict.fromkeys(f"{span.file}:{span.line}" for span in origin))
