"""What stands beside an isometric: its pieces, cuts and welds, with the numbers of the lists."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ..model.hookup import Component, Hookup
from ..model.span import Origin
from ..takeoff.cut_pieces import CutPiece
from ..takeoff.describe import description, size_text
from ..takeoff.pieces_of_pipe import is_cut_pipe, pipe_pieces
from ..takeoff.spool_lists import SpoolItem
from ..takeoff.welding import BRANCH, Weld
from .iso_dims import length_text


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
class Items:
    """The numbered pieces of a drawing: their table, and by component the numbers that point at it."""

    table: SmallTable
    numbers: Mapping[str, tuple[str, ...]]


def spool_items(mark: str, items: Sequence[SpoolItem]) -> Items:
    """Those of a spool, as its sheet numbers them."""
    numbers: dict[str, tuple[str, ...]] = {}
    rows = []
    for item in items:
        cells, first = item.row.cells, item.components[0].id
        numbers[first] = (*numbers.get(first, ()), str(item.number))
        rows.append(Line((str(item.number), str(cells["size"]), str(cells["piece"])), spans(item.row.origin)))
    return Items(SmallTable(f"Pieces of {mark}", ("Item", "Size", "Piece"), tuple(rows), (0,)), numbers)


def line_items(name: str, line: str, hookup: Hookup, shown: Iterable[Component]) -> Items:
    """The bill of a line: what is alike has one number, given in flow order. Gaskets and bolts are not in it."""
    piece_of = {c.id: piece for piece in pipe_pieces(hookup) for c in piece.components}
    found: dict[tuple[str, str], list[str]] = {}
    where: dict[tuple[str, str], dict[str, None]] = {}
    numbers: dict[str, tuple[str, ...]] = {}
    order: dict[tuple[str, str], int] = {}
    counted: set[int] = set()

    def count(component: Component, key: tuple[str, str]) -> None:
        order.setdefault(key, len(order) + 1)
        found.setdefault(key, []).append(component.id)
        where.setdefault(key, {}).update(dict.fromkeys(spans(component.origin).split()))
        numbers[component.id] = (*numbers.get(component.id, ()), str(order[key]))

    for component in shown:
        if component.line != line or component.kind.ports in ("coil", "main"):
            continue
        piece = piece_of.get(component.id)
        if piece is not None and id(piece) not in counted:
            counted.add(id(piece))
            runs = [c for c in piece.components if c.pipe is not None]
            text = description(runs[0]) if runs else "pipe under the outlet"
            count(component, (component.size.label, text))
        if piece is None or not is_run(component):
            count(component, (size_text(component), description(component)))
    rows = tuple(
        Line((str(number), key[0], key[1], str(len(found[key]))), " ".join(where[key])) for key, number in order.items()
    )
    return Items(SmallTable(f"Bill of {name}", ("Item", "Size", "Piece", "Count"), rows, (0, 3)), numbers)


def is_run(component: Component) -> bool:
    """Whether it is pipe and nothing else: an outlet is pipe and a fitting."""
    return is_cut_pipe(component) and component.pipe is not None


def cut_table(cuts: Sequence[tuple[int, CutPiece]], said: Callable[[str], str] | None) -> SmallTable:
    """Pieces of pipe with the numbers and lengths of the list `cuts`, and with the spools that they go into: `said`
    puts the unit's number into a mark. Without it, the spool is that of the sheet."""
    rows = []
    for number, piece in cuts:
        length = length_text(piece.length) + (f", {length_text(piece.over)} over" if piece.over else "")
        where = () if said is None else (said(piece.mark),)
        rows.append(Line((f"P{number}", piece.size.label, length, *where), spans(piece.origin)))
    heads = ("Cut", "Size", "Length", *(() if said is None else ("Spool or line",)))
    return SmallTable("Cuts, end to end", heads, tuple(rows))


def weld_table(welds: Sequence[Weld]) -> SmallTable:
    """Welds with the numbers of the list `welds`."""
    rows = tuple(
        Line(
            (
                f"W{weld.number}",
                f"{weld.size} x {weld.branch_size}" if weld.kind == BRANCH else weld.size.label,
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
