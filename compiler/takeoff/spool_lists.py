"""Lists of spools: one row a spool, and a sheet of the pieces of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ..model.hookup import Component, Hookup
from ..model.span import Origin
from ..model.table import NOT_MEASURED, Column, Row, Table, Unknown, Value
from .cut_pieces import CutPiece, pieces_of
from .describe import description, size_text
from .job import Job
from .left_out import in_few_words
from .naming import in_blocks, numbered
from .pieces_of_pipe import is_cut_pipe
from .spools import Spool, verdict
from .weights import reads
from .welding import Weld

_SPOOLS = (
    Column("spool", "Spool"),
    Column("units", "Units"),
    Column("count", "Units built so", align="right"),
    Column("lines", "Lines"),
    Column("sizes", "Sizes"),
    Column("pieces", "Pieces", align="right"),
    Column("welds", "Shop welds", align="right"),
    Column("field_welds", "Field welds at it", align="right"),
    Column("right", "Overall right", "ft-in", "right"),
    Column("toward", "Overall toward", "ft-in", "right"),
    Column("up", "Overall up", "ft-in", "right"),
    Column("dry", "Dry", "lb", "right"),
    Column("reads", "Reads"),
    Column("from", "Centre of gravity from"),
    Column("centre_right", "To the right", "in", "right"),
    Column("centre_toward", "Toward", "in", "right"),
    Column("centre_up", "Up", "in", "right"),
    Column("limits", "Limits"),
    Column("left_out", "Not in the weight"),
    Column("missing", "What is not in the weight", data_only=True),
    Column("not_placed", "Not in the box"),
    Column("unplaced", "What is not in the box", data_only=True),
)
_PIECES = (
    Column("spool", "Spool"),
    Column("units", "Units"),
    Column("count", "Units built so", align="right"),
    Column("item", "Item", align="right"),
    Column("piece", "Piece"),
    Column("size", "Size"),
    Column("cut", "Cut", "ft-in", "right"),
    Column("welds", "Welds"),
)
_APART = (
    "A spool ends at bolted and grooved joints, at the downstream side of a union, at coils and mains, at field welds "
    "and where it would be past the limits of the `takeoff` block. What holds neither pipe nor a weld is no spool.",
    "What is made in the field is in no spool: specs that say `made in the field`, and soldered and threaded copper, "
    "unless its spec says `made in the shop` or the `takeoff` block has a line `spools`.",
)
_BOX = (
    "Overall: the box round pipe, fittings and flanges, without insulation; a valve counts as its pipe from face to "
    "face, without handle or actuator. `right`, `toward` and `up` as installed, facing the connections of the coil.",
    "Dry: pipe, fittings, flanges and valves, without weld metal, gaskets and bolts; `at least` where a weight is not "
    "known. The centre of gravity is that of what is weighed and placed, each piece at its middle.",
)

_SHEET = (
    "An outlet follows the pipe that it is welded onto. Weld numbers are those of the weld list, lengths those of the "
    "cut list: to the nearest 1/16 in, a field-fit piece with what it is left over."
)


def spools(job: Job) -> Table:
    """Every spool of every distinct hookup; amounts are for one unit."""
    limits = job.settings.spools

    def rows_of(hookup: Hookup) -> Iterator[Row]:
        found = job.spools(hookup)
        welds = _welds_at(job.welds(hookup))
        for spool in found.spools:
            cells = {**_cells(spool, welds), "limits": verdict(spool, limits) if limits is not None else None}
            yield Row(cells, _origin(spool) + job.settings.origin.get("spools", ()), _why(spool))

    rows = in_blocks(job.hookups, lambda hookup: list(rows_of(hookup)), counted=True)
    return Table("spools", "Spools", _SPOOLS, rows, (*_APART, *_BOX))


def spool_pieces(job: Job) -> Table:
    """The pieces of every spool in flow order, pipe with its cut length, each with the numbers of its welds."""

    def rows_of(hookup: Hookup) -> Iterator[Row]:
        for spool, items in spool_sheets(job, hookup):
            for item in items:
                cells: dict[str, Value] = {"spool": spool.mark, "item": item.number, **item.row.cells}
                yield Row(cells, item.row.origin, item.row.why)

    rows = in_blocks(job.hookups, lambda hookup: list(rows_of(hookup)), counted=True)
    notes = (*_APART, _SHEET)
    return Table("spool-pieces", "Spool sheets: pieces", _PIECES, rows, notes)


@dataclass(frozen=True, slots=True)
class SpoolItem:
    """One row of a spool's sheet, and what it is: one component, or the runs of one piece of pipe."""

    number: int
    row: Row
    components: tuple[Component, ...]


def spool_sheets(job: Job, hookup: Hookup, unit: str = "*") -> list[tuple[Spool, list[SpoolItem]]]:
    """Every spool of a hookup with its pieces in flow order, numbered as in the list `spool-pieces`.

    `unit`: the number that takes the place of the `*` of tags, where the sheet is that of one unit.
    """
    welds = _welds_at(job.welds(hookup))
    pieces = {c.id: piece for piece in pieces_of(job, hookup) for c in piece.components}
    return [
        (spool, [SpoolItem(n, _of_unit(row, unit), of) for n, (row, of) in enumerate(_sheet(spool, pieces, welds), 1)])
        for spool in job.spools(hookup).spools
    ]


def _of_unit(row: Row, unit: str) -> Row:
    return replace(row, cells={key: numbered(value, unit) for key, value in row.cells.items()})


#: A row of a sheet, and the components that it stands for.
_Found = tuple[Row, tuple[Component, ...]]
#: The welds at each component.
_Welds = Mapping[str, Sequence[Weld]]


def _welds_at(welds: Sequence[Weld]) -> dict[str, list[Weld]]:
    made: dict[str, list[Weld]] = {}
    for weld in welds:
        for id in {component.id for component in weld.between}:
            made.setdefault(id, []).append(weld)
    return made


def _of(components: Sequence[Component], welds: _Welds) -> list[Weld]:
    """The welds at some components, each once, by number."""
    found = {weld.number: weld for component in components for weld in welds.get(component.id, ())}
    return [found[number] for number in sorted(found)]


def _cells(spool: Spool, welds: _Welds) -> dict[str, Value]:
    own = _of(spool.components, welds)
    sizes = {c.size for c in spool.components if is_cut_pipe(c)} or {c.size for c in spool.components}
    box: tuple[Value, ...] = (NOT_MEASURED,) * 3
    if spool.load.box is not None:
        box = tuple(_sixteenth(side) for side in spool.load.box.sides)
    centre: tuple[Value, ...] = (spool.centre,) * 3 if isinstance(spool.centre, Unknown) else ()
    if not isinstance(spool.centre, Unknown):
        centre = tuple(round(at, 1) + 0.0 for at in spool.centre)  # + 0.0: no minus nought
    first = spool.components[0]
    unplaced = spool.unplaced if spool.load.box is not None else ()
    return {
        "spool": spool.mark,
        "lines": tuple(dict.fromkeys(c.line for c in spool.components if c.line)),
        "sizes": tuple(size.label for size in sorted(sizes, key=lambda size: -size.rank)),
        "pieces": len(spool.components),
        "welds": sum(not weld.field for weld in own),
        "field_welds": sum(weld.field for weld in own),
        **dict(zip(("right", "toward", "up"), box, strict=True)),
        "dry": round(spool.dry.known, 1) if spool.dry.known or spool.dry.whole else NOT_MEASURED,
        "reads": reads(spool.dry),
        "from": f"the upstream end of {first.called}" if spool.start is not None else None,
        **dict(zip(("centre_right", "centre_toward", "centre_up"), centre, strict=True)),
        "left_out": in_few_words(spool.dry.missing),
        "missing": tuple(f"{count} {name}" for name, count in spool.dry.missing.items()) or None,
        "not_placed": in_few_words(_count(unplaced)),
        "unplaced": tuple(f"{count} {name}" for name, count in _count(unplaced).items()) or None,
    }


def _count(names: Sequence[str]) -> dict[str, int]:
    return {name: names.count(name) for name in dict.fromkeys(names)}


def _why(spool: Spool) -> str:
    first, last = spool.components[0], spool.components[-1]
    return f"joined for good from {first.label} to {last.label}"


def _origin(spool: Spool) -> Origin:
    return tuple(dict.fromkeys(span for component in spool.components for span in component.origin[:1]))


def _sheet(spool: Spool, pieces: Mapping[str, CutPiece], welds: _Welds) -> Iterator[_Found]:
    """One row a thing to fetch or cut: runs of one piece of pipe are one row, its outlets a row each behind it."""
    done: set[int] = set()
    for component in spool.components:
        piece = pieces.get(component.id)
        if piece is None:
            yield _row(component, None, welds), (component,)
        elif id(piece) not in done:
            done.add(id(piece))
            yield from _pipe_rows(piece, welds)


def _pipe_rows(piece: CutPiece, welds: _Welds) -> Iterator[_Found]:
    outlets = [c for c in piece.components if c.pipe is None]
    runs = [c for c in piece.components if c.pipe is not None]
    first = (runs or outlets)[0]
    own = _of(piece.components, welds)
    cells: dict[str, Value] = {
        "piece": description(runs[0]) if runs else "pipe under the outlet",
        "size": first.size.label,
        "cut": piece.length,
        "welds": _numbers([w for w in own if w.joint is None or not _at_branch(w, outlets)]),
    }
    yield Row(cells, first.origin, "; ".join(c.why for c in runs[:1] if c.why)), tuple(runs or outlets)
    for outlet in outlets:
        yield _row(outlet, None, welds), (outlet,)


def _at_branch(weld: Weld, outlets: Sequence[Component]) -> bool:
    """Whether a weld is at the branch of an outlet, and so none of the pipe's."""
    joint, ends = weld.joint, [c.id for c in weld.between]
    ids = {outlet.id for outlet in outlets}
    return joint is not None and (
        (ends[0] in ids and joint.port_a == "branch") or (ends[1] in ids and joint.port_b == "branch")
    )


def _row(component: Component, cut: Value, welds: _Welds) -> Row:
    own = welds.get(component.id, ())
    if is_cut_pipe(component):  # an outlet: what is welded to the pipe under it is the pipe's
        own = [weld for weld in own if weld.joint is None or _at_branch(weld, [component])]
    cells: dict[str, Value] = {
        "piece": f"{component.tag}: {description(component)}" if component.tag else description(component),
        "size": size_text(component),
        "cut": cut,
        "welds": _numbers(own),
    }
    return Row(cells, component.origin, component.why)


def _numbers(welds: Sequence[Weld]) -> tuple[str, ...] | None:
    return tuple(f"W{weld.number}{' field' if weld.field else ''}" for weld in welds) or None


def _sixteenth(value: float) -> Fraction:
    return Fraction(round(value * 16), 16)
