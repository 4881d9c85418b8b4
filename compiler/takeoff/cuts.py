"""The cut list: every piece of pipe and tube, how long it is sawn, and how its ends are made."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.hookup import Component, Hookup, Joint
from ..model.quantity import format_feet_inches
from ..model.table import Column, Row, Table, Value
from .cut_pieces import CutPiece, pieces_of
from .job import Job
from .naming import in_blocks
from .waiting import waiting_notes, waits_for

_COLUMNS = (
    Column("cut", "Cut", align="left"),
    Column("units", "Units"),
    Column("count", "Units built so", align="right"),
    Column("spool", "Spool or line"),
    Column("material", "Material"),
    Column("size", "Size"),
    Column("length", "Length", "ft-in", "right"),
    Column("over", "Of that over", "in", "right"),
    Column("ends", "Ends"),
    Column("between", "Between"),
)
#: How the end of a pipe is made for a joint.
_ENDS = {
    "butt weld": "bevel",
    "slip-on weld": "square",
    "socket weld": "square",
    "soldered": "square",
    "threaded": "thread",
    "grooved": "groove",
    "clamped": "groove",
}
_NOTES = (
    "Lengths are end to end, to the nearest 1/16 in; the list `closing` shows how each comes about. Bevels are those "
    "of the weld list: thin walls are cut square.",
)


def cuts(job: Job) -> Table:
    """Every piece to cut of every distinct hookup, numbered through it in flow order."""

    def rows_of(hookup: Hookup) -> list[Row]:
        made_up = _joints(hookup)
        return [_row(hookup, piece, number, made_up) for number, piece in enumerate(pieces_of(job, hookup), 1)]

    over = format_feet_inches(job.settings.field_fit)
    said = "" if job.settings.over is not None else " (common practice, no source; `field fit over` says another)"
    notes = (
        *_NOTES,
        f"A field-fit piece is left {over} over, to be cut on the job{said}.",
        *waiting_notes(job.hookups),
    )
    return Table("cuts", "Cut list", _COLUMNS, in_blocks(job.hookups, rows_of, counted=True), notes)


def _row(hookup: Hookup, piece: CutPiece, number: int, made_up: dict[str, list[tuple[Joint, str]]]) -> Row:
    ends = list(_ends(hookup, piece, made_up))
    cells: dict[str, Value] = {
        "cut": f"P{number}",
        "spool": piece.mark,
        "material": f"{piece.sort}, {piece.material}",
        "size": piece.size.label,
        "length": piece.length,
        "over": piece.over or None,
        "ends": ", ".join(how for how, _ in ends),
        "between": " and ".join(what for _, what in ends),
    }
    runs = {component.id for component in piece.components}
    straights = hookup.measured.straights if hookup.measured is not None else ()
    missing = waits_for(hookup, [straight for straight in straights if straight.run in runs])
    return Row(cells, piece.origin, "; ".join(["what take-outs, gaps and pieces leave of the moves", *missing]))


def _joints(hookup: Hookup) -> dict[str, list[tuple[Joint, str]]]:
    """By component: its joints, each with the neighbour."""
    made: dict[str, list[tuple[Joint, str]]] = {}
    for u, v, joint in hookup.joints():
        made.setdefault(u, []).append((joint, v))
        made.setdefault(v, []).append((joint, u))
    return made


def _ends(hookup: Hookup, piece: CutPiece, made_up: dict[str, list[tuple[Joint, str]]]) -> Iterator[tuple[str, str]]:
    """How each end of a piece is made, and what it meets: upstream first."""
    inside = {component.id for component in piece.components}
    found: list[tuple[int, str, Component]] = []
    for component in piece.components:
        for joint, other in made_up.get(component.id, ()):
            own = joint.port_b if joint.end_b is component.ends.get(joint.port_b) else joint.port_a
            if other not in inside and own != "branch":
                found.append((joint.order, _ENDS.get(joint.kind, joint.kind), hookup.component(other)))
    for _, how, other_component in sorted(found, key=lambda one: one[0]):
        yield how, other_component.called
