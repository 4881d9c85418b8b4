"""Changeover sheet: from one lineup to another, step by step."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.changeover import Changeover, changeovers
from ..analysis.lineups import worked_out
from ..model.hookup import Hookup
from ..model.table import Column, Row, Table, Value
from .job import Job
from .naming import in_blocks, things

_COLUMNS = (
    Column("units", "Units"),
    Column("change", "From - to"),
    Column("step", "Step", align="right"),
    Column("do", "Do"),
    Column("what", "Which"),
    Column("then", "Then"),
)
_NOTES = (
    "Shut before open. Whatever changes liquid is shut in between, proved tight at its drain, and emptied before the "
    "new liquid comes in: a crack at a time with the vents open, which are shut from the lowest up; returns are opened "
    "last. After every step what stands where was worked out again.",
    "Drain glycol to a container, not to a floor drain where that is not permitted. Coil tubes do not drain empty.",
    "Tag valves that must move together with each other's numbers (UFGS 15501, 15502). Local codes, the engineer of "
    "record and licensed practice decide; this sheet is no permit.",
)


def changeover(job: Job) -> Table:
    """The steps between every two lineups of every hookup."""

    def rows(hookup: Hookup) -> list[Row]:
        sections = job.sections(hookup)
        made = changeovers(hookup, sections, worked_out(hookup, sections))
        return [row for one in made for row in _rows(one)]

    return Table("changeover", "Changeover between lineups", _COLUMNS, in_blocks(job.hookups, rows), _NOTES)


def _rows(made: Changeover) -> Iterator[Row]:
    spans = (made.before.span, made.after.span)
    change: dict[str, Value] = {"change": f"{made.before.name} - {made.after.name}"}
    if made.problem:
        yield Row({**change, "step": 0, "do": "do not", "then": made.problem}, spans)
    elif not made.acts:
        yield Row({**change, "step": 0, "do": "nothing", "then": "both set every valve alike"}, spans)
    for number, act in enumerate(made.acts, 1):
        cells: dict[str, Value] = {
            **change,
            "step": number,
            "do": act.do,
            "what": things(act.valves),
            "then": f"mixes: {act.then}" if act.mixes else act.then,
        }
        yield Row(cells, (*(v.origin[0] for v in act.valves), *spans), "the two lineups differ in it")
