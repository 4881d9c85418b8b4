"""The weight list: dry, the fluid, the insulation and all of it, by line and unit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ..analysis.weighing import Sum, is_weighed
from ..catalogue.weights import bolts_weight
from ..model.hookup import Hookup
from ..model.span import Span
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Column, Row, Table, Unknown, Value
from .job import Job
from .left_out import in_few_words
from .naming import in_blocks

_COLUMNS = (
    Column("units", "Units"),
    Column("line", "Line"),
    Column("dry", "Dry", "lb", "right"),
    Column("fluid", "Fluid", "lb", "right"),
    Column("insulation", "Insulation", "lb", "right"),
    Column("full", "Full", "lb", "right"),
    Column("reads", "Full is"),
    Column("left_out", "Not in it"),
    Column("missing", "Things not in it", align="right", data_only=True),
    Column("which", "Which", data_only=True),
)
_NOTES = (
    "Sums of what is known. Where something is missing it is counted here and named in CSV, JSON and the workbook, "
    "and the sum is at least that.",
    "Pipe: ASME B36.10M and ASTM B88. Butt-weld fittings, flanges and bolting: from their dimensions; printed lists of "
    "elbows are about 5 % heavier, of flanges within 4 %. All others: the file (`weighs 62 lb`, or a `weights of` "
    "block).",
    "Runs of pipe as cut where that is known, else centre to centre, which is longer than the pipe.",
    "Fluid at 40 degF, in pipe, butt-weld fittings, flanges and bodies whose length is known, these at full bore. "
    "Insulation without its jacket.",
    "Coils, mains, gaskets, welds, solder, hangers and what hangs on ends are not counted.",
)


@dataclass(slots=True)
class _Load:
    """The sums of one line or unit."""

    dry: Sum = field(default_factory=Sum)
    fluid: Sum = field(default_factory=Sum)
    insulation: Sum = field(default_factory=Sum)
    spans: dict[Span, None] = field(default_factory=dict)

    def take(self, other: _Load, times: int = 1) -> None:
        """Count another in, so many times."""
        for mine, theirs in ((self.dry, other.dry), (self.fluid, other.fluid), (self.insulation, other.insulation)):
            mine.take(theirs, times)
        self.spans.update(other.spans)

    def cells(self) -> dict[str, Value]:
        """A row of the table, without its name."""
        full = Sum()
        for part in (self.dry, self.fluid, self.insulation):
            full.take(part)
        return {
            "dry": round(self.dry.known, 1),
            "fluid": round(self.fluid.known, 1),
            "insulation": round(self.insulation.known, 1),
            "full": round(full.known, 1),
            "reads": reads(full),
            "left_out": in_few_words(full.missing),
            "missing": sum(full.missing.values()),
            "which": tuple(f"{count} {name}" for name, count in full.missing.items()),
        }


def reads(total: Sum) -> str:
    """How a sum may be read: where something is missing it is `at least` what is known of it."""
    return "whole" if total.whole else "at least this"


def pounds(total: Sum) -> float | Unknown:
    """What is known of a sum, lb to the tenth; unknown where nothing is."""
    return round(total.known, 1) if total.known or total.whole else NOT_MEASURED


def weights(job: Job) -> Table:
    """For each distinct hookup its lines and all of it, then all units together."""
    total = _Load()

    def rows(hookup: Hookup) -> Iterator[Row]:
        unit = _Load()
        for line, load in _lines(job, hookup).items():
            unit.take(load)
            origin = tuple(load.spans) or (hookup.lines[line].span,)
            yield Row({"line": line, **load.cells()}, origin, "the weights of its components added up")
        unit.spans = unit.spans or {hookup.span: None}
        total.take(unit, len(hookup.units))
        yield Row({"line": "the whole unit", **unit.cells()}, tuple(unit.spans), "its lines added up")

    made = list(in_blocks(job.hookups, lambda hookup: list(rows(hookup))))
    if made:
        count = sum(len(hookup.units) for hookup in job.hookups)
        cells: dict[str, Value] = {"units": f"all {count}", "line": "all units", **total.cells()}
        made.append(Row(cells, tuple(total.spans), "each unit's weight, times the units built so"))
    return Table("weights", "Weights", _COLUMNS, tuple(made), _NOTES)


def _lines(job: Job, hookup: Hookup) -> dict[str, _Load]:
    """The sums of every line of a hookup, in the file's order."""
    scales = job.scales(hookup)
    loads: dict[str, _Load] = {line: _Load() for line in hookup.lines}
    for component in hookup.components():
        load = loads.get(component.line)
        if load is None or not is_weighed(component):
            continue
        scales.add(component, load.dry, load.fluid, load.insulation)
        load.spans.update(dict.fromkeys(component.origin[:1]))
    for joint in job.flanged(hookup):
        loads[joint.line].dry.add(bolts_weight(joint.bolts), f"bolts of a {joint.size} joint")
    for _, _, edge in hookup.joints():
        if edge.kind == "grooved" and edge.line in loads:
            loads[edge.line].dry.add(NOT_IN_TABLES, f"grooved coupling {edge.end_a.size}")
    return loads
