"""The bill of materials."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..catalogue.pieces import pipe_text
from ..model.hookup import Component, Hookup
from ..model.size import find_size
from ..model.table import Column, Row, Table
from .bolting import bolting_items
from .describe import GROUPS, description, size_text, standard, standard_of_pipe
from .job import Job
from .open_joints import not_counted
from .packs import pack_cells, pack_of, with_packs
from .pieces_of_pipe import pipe_pieces
from .spares import extras
from .tally import Counted, Line, Tally, in_order, trimmed

_COLUMNS = (
    Column("item", "Item", align="right"),
    Column("group", "Group"),
    Column("size", "Size"),
    Column("description", "Description"),
    Column("standard", "Standard"),
    Column("each", "Per unit", align="right"),
    Column("total", "Total", align="right"),
    Column("extra", "Spare or waste", align="right"),
    Column("unit", "Unit"),
    Column("tags", "Tags"),
)

#: What stands behind the name of pipe that is not cut to a known length.
CENTRES = ", centre to centre"
ALLOWED = ", allowed where it is not measured yet"
UNMEASURED = ", length not measured"
NO_ROOM = ", no room for it between its fittings"
#: How a row's key is made up.
_KEY = ("group", "size", "description", "standard", "unit")


def bill(job: Job) -> Table:
    """Everything to buy, equal things drawn together over all units, in the order of the groups and by size.

    Pipe is in feet, centre to centre as the moves give it; pieces that nobody measured are counted as pieces.
    """
    tally = Tally()
    for one in items(job):
        tally.take(one)
    keys = sorted(tally.lines, key=place_of)
    more = extras({key: line.total for key, line in tally.lines.items()}, job.settings)
    rows = tuple(_row(number, key, tally.lines[key], job, more.get(key)) for number, key in enumerate(keys, 1))
    return Table("bill", "Bill of materials", with_packs(_COLUMNS, rows), rows, _notes(job, tally))


def items(job: Job) -> Iterator[Counted]:
    """What the bill counts, one by one, under (group, size, description, standard, unit)."""
    for hookup in job.hookups:
        for component in hookup.components():
            if component.kind.ports not in ("coil", "main") and component.pipe is None:
                yield _piece(hookup, component)
        yield from _pipe(hookup)
        yield from _couplings(hookup)
    yield from bolting_items(job)


def _piece(hookup: Hookup, one: Component) -> Counted:
    key = (one.kind.group, size_text(one), description(one), standard(one), "pieces")
    return Counted(key, hookup, 1, one.tag, one.origin, one.why, one.line)


def _pipe(hookup: Hookup) -> Iterator[Counted]:
    for piece in pipe_pieces(hookup):
        first = next((c for c in piece.components if c.pipe is not None), piece.components[0])
        material = first.made_of if first.pipe is not None else pipe_under(hookup, first)
        name = "tube" if first.kind.name == "tube" else "pipe"
        spans = tuple(span for c in piece.components for span in c.origin)

        def counted(text: str, unit: str, count: float, why: str) -> Counted:
            key = ("pipe", first.size.label, f"{name}, {material}{text}", standard_of_pipe(material), unit)  # noqa: B023
            return Counted(key, hookup, count, "", spans, why, first.line)  # noqa: B023

        if isinstance(piece.cut, Fraction) and piece.cut <= 0:
            yield counted(NO_ROOM, "pieces", 1, "the take-outs are longer than the moves")
            continue
        if isinstance(piece.cut, Fraction):
            why = "cut to length: what take-outs and gaps leave of the moves"
            yield counted("", "ft", float(piece.cut) / 12, why)
            continue
        if piece.measured:
            why = "the lengths of the moves, nothing taken out"
            yield counted(CENTRES, "ft", float(piece.measured) / 12, why)
        if piece.allowed:
            yield counted(ALLOWED, "ft", float(piece.allowed) / 12, "the `about` lengths")
        if piece.unmeasured:
            yield counted(UNMEASURED, "pieces", 1, "the file gives no length here")


def pipe_under(hookup: Hookup, component: Component) -> str:
    """The pipe that an outlet sits on, where the file has no run of it: as the spec's row buys it."""
    row = hookup.lines[component.line].spec.row(component.size)
    return pipe_text(row) if row is not None else component.made_of


def _couplings(hookup: Hookup) -> Iterator[Counted]:
    for u, _, joint in hookup.joints():
        if joint.kind == "grooved":
            row = hookup.lines[joint.line].spec.row(joint.end_a.size)
            material = row.fittings if row is not None else ""
            key = ("fittings", joint.end_a.size.label, f"grooved coupling with gasket, {material}", "", "pieces")
            origin = hookup.component(u).origin
            yield Counted(key, hookup, 1, "", origin, "one for each grooved joint", joint.line)


def product(text: str) -> str:
    """Pipe by its name alone: however its length is known, it is the same pipe to buy.

    >>> product("tube, copper type L, centre to centre")
    'tube, copper type L'
    """
    return text.removesuffix(CENTRES).removesuffix(ALLOWED)


def place_of(key: tuple[str, ...]) -> tuple[int, str, float, str, str]:
    """Where a row of that key stands in the bill."""
    group, size, text, _, _ = key
    rank = GROUPS.index(group) if group in GROUPS else len(GROUPS)
    name = text.split(",")[0]
    return (rank, name, _inches(size), size, text)


def _inches(size: str) -> float:
    found = find_size(size.split(" x ")[0].split()[0]) if size else None
    return float(found.inches) if found is not None else 0.0


def _row(number: int, key: tuple[str, ...], line: Line, job: Job, extra: float | None) -> Row:
    cells = dict(zip(_KEY, key, strict=True))
    return Row(
        {
            **cells,
            "item": number,
            "each": line.per_unit(len(job.hookups)),
            "total": trimmed(line.total),
            "extra": extra,
            "tags": in_order(line.tags),
            **pack_cells(pack_of(key[0], key[2], job.settings), line.total + (extra or 0)),
        },
        line.origin,
        "; ".join(line.reasons),
    )


def _notes(job: Job, tally: Tally) -> tuple[str, ...]:
    notes = [
        "Pipe is as cut where all take-outs are known; `centre to centre` is what the moves give, take-outs "
        "and all, without the pieces between fittings and the nipples in it, which count for themselves."
    ]
    notes.extend(not_counted(job, flanged=False))
    if any(key[4] == "pieces" and key[0] == "pipe" for key in tally.lines):
        notes.append("Pieces whose length is not measured are counted, not added to the feet.")
    mains = {c.tag: c for h in job.hookups for c in h.components() if c.kind.ports == "main"}
    if mains:
        named = [f"{tag} (size {mains[tag].branch_size})" if mains[tag].branch_size else tag for tag in sorted(mains)]
        notes.append(f"What the mains offer at each connection is not in the file and not counted: {', '.join(named)}.")
    if any(h.moves for h in job.hookups):
        notes.append(
            "Elbows are where the moves change direction; a turn at a main or a coil that no move says is not."
        )
    if not job.settings.spares and not any(job.settings.waste.values()):
        notes.append("No spares or waste are asked for.")
    return tuple(notes)
