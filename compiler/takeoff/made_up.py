"""Joints that are made up without welding or bolts: threaded, soldered, grooved."""

from __future__ import annotations

from ..model.hookup import Hookup, Joint
from ..model.size import find_size
from ..model.table import Column, Row, Table, Value
from .job import Job
from .tally import Tally, trimmed

_COLUMNS = (
    Column("kind", "Kind"),
    Column("size", "Size"),
    Column("with", "Made with"),
    Column("each", "Per unit", align="right"),
    Column("total", "Joints", align="right", adds_up=True),
)
_KINDS = ("threaded", "soldered", "grooved")
NOT_SAID = "not said"


def made_up_joints(job: Job) -> Table:
    """Threaded joints with their sealant, soldered joints with their alloy, grooved couplings, of all units."""
    tally = Tally()
    for hookup in job.hookups:
        for u, _, joint in hookup.joints():
            if joint.kind in _KINDS:
                key: tuple[str, ...] = (joint.kind, joint.end_a.size.label, made_with(hookup, joint))
                tally.add(key, hookup, 1, "", joint.origin or hookup.component(u).origin, f"each {joint.kind} joint")
    rows = []
    for key in sorted(tally.lines, key=_order):
        line = tally.lines[key]
        cells: dict[str, Value] = {**dict(zip(("kind", "size", "with"), key, strict=True))}
        cells |= {"each": line.per_unit(len(job.hookups)), "total": trimmed(line.total)}
        rows.append(Row(cells, line.origin, "; ".join(line.reasons)))
    notes = ("What these joints use up is in the list consumables, as far as the tables know it.",)
    return Table("made-up-joints", "Threaded, soldered and grooved joints", _COLUMNS, tuple(rows), notes)


def made_with(hookup: Hookup, joint: Joint) -> str:
    """Sealant or alloy as the spec says it; a coil's own tap is on no line, and no spec speaks for it."""
    line = hookup.lines.get(joint.line)
    if joint.kind == "grooved":
        return "coupling and gasket"
    if line is None:
        return NOT_SAID
    return (line.spec.solder if joint.kind == "soldered" else line.spec.sealant) or NOT_SAID


def _order(key: tuple[str, ...]) -> tuple[int, int, str]:
    size = find_size(key[1])
    return (_KINDS.index(key[0]), size.rank if size is not None else -1, key[2])
