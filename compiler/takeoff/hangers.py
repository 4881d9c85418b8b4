"""The hanger list: every hanger with its clevis, rod and load, and how many of each to buy."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.hanging import Hanger, gaps
from ..analysis.ways import Way, sides, ways
from ..analysis.weighing import Sum
from ..catalogue.hangers import support
from ..model.hookup import Component, Hookup
from ..model.table import NOT_IN_TABLES, Column, Row, Table, Value
from .job import Job
from .left_out import in_few_words
from .naming import in_blocks
from .tally import Tally, trimmed
from .weights import pounds, reads

_COLUMNS = (
    Column("units", "Units"),
    Column("hanger", "Hanger"),
    Column("line", "Line"),
    Column("from", "From"),
    Column("at", "To the hanger", "ft-in", "right"),
    Column("size", "Size"),
    Column("insulation", "Insulation", "in", "right"),
    Column("clevis", "Clevis"),
    Column("rod", "Rod", "in", "right"),
    Column("load", "Load", "lb", "right"),
    Column("reads", "Load is"),
    Column("left_out", "Not in it"),
    Column("not_in_load", "What is not in it", data_only=True),
    Column("each", "Per unit", align="right"),
    Column("total", "Total", align="right"),
)
_NOTES = (
    "Clevis: the least pipe size not thinner than pipe and insulation together (common practice, no source), with a "
    "shield over insulation. Rod: MSS SP-58 by the size of the pipe; a clevis of a larger size may be tapped for "
    "another.",
    "To the hanger: along the pipe in flow order, from the middle of what is named; of a coil or a main from the "
    "face of its connection.",
    "Load: half of what hangs, full, between it and the next hanger, coil, main or tee on each side; risers with it, "
    "bolts without. An estimate, no design of a support: anchors, guides, shaking and what holds the hanger are not "
    "in it.",
)


def hangers(job: Job) -> Table:
    """A row a hanger for every distinct hookup; behind them a row for each that is bought alike."""
    tally = Tally()
    alike: dict[tuple[str, ...], dict[str, Value]] = {}

    def rows(hookup: Hookup) -> Iterator[Row]:
        for number, (hanger, start, load) in enumerate(_loads(job, hookup), 1):
            what = _what(hookup, hanger.pipe)
            key = tuple(str(value) for value in what.values())
            alike.setdefault(key, what)
            tally.add(key, hookup, 1, origin=(hanger.span,))
            cells: dict[str, Value] = {
                "hanger": f"H{number}",
                "line": hanger.pipe.line,
                "from": start,
                "at": hanger.along,
                **what,
                "load": pounds(load),
                "reads": reads(load),
                "left_out": in_few_words(load.missing),
                "not_in_load": tuple(f"{count} {name}" for name, count in load.missing.items()),
            }
            yield Row(cells, (hanger.span, *hanger.pipe.origin[-1:]), "`hanger` stands there in the file")

    made = list(in_blocks(job.hookups, lambda hookup: list(rows(hookup))))
    for key, line in tally.lines.items():
        cells = {
            "units": "all units",
            "hanger": "to buy",
            **alike[key],
            "each": line.per_unit(len(job.hookups)),
            "total": trimmed(line.total),
        }
        made.append(Row(cells, line.origin, "the hangers above that are alike"))
    return Table("hangers", "Hangers", _COLUMNS, tuple(made), _NOTES)


def _loads(job: Job, hookup: Hookup) -> list[tuple[Hanger, str | None, Sum]]:
    """Each hanger in the order of the file, where its run begins, and half of what hangs on each side of it."""
    scales, all_ways = job.scales(hookup), ways(hookup, job.sections(hookup))
    beside = sides(all_ways)
    made = []
    for way in all_ways:
        found = gaps(hookup, way, beside)
        if len(found) == 1:
            continue
        weights = [gap.weight(scales) for gap in found]
        for number, gap in enumerate(found):
            if gap.after is None:
                continue
            load = Sum()
            for side in (number, number + 1):
                load.take(weights[side], share=0.5)
            made.append((gap.after, _start(way, gap.after.pipe), load))
    return sorted(made, key=lambda found: found[0].span)


def _start(way: Way, pipe: Component) -> str | None:
    """What the straight of a run begins at: the nearest thing upstream that lengths are measured to."""
    upstream = way.components[: way.components.index(pipe)]
    for component in reversed(upstream):
        if component.pipe is None and not component.between:
            return component.called
    return way.head[0].called if way.head is not None else None


def _what(hookup: Hookup, pipe: Component) -> dict[str, Value]:
    """What hangs one pipe: its size and insulation, clevis and rod."""
    service, row = hookup.services.get(pipe.service), hookup.lines[pipe.line].spec.row(pipe.size)
    insulation = service.insulation_in if service is not None else None
    found = support(row, pipe.size, insulation) if row is not None else None
    clevis: Value = NOT_IN_TABLES
    if found is not None and found.clevis is not None:
        clevis = f"{found.clevis}, with shield" if found.shield else f"{found.clevis}"
    rod = found.rod if found is not None and found.rod is not None else NOT_IN_TABLES
    return {"size": pipe.size.label, "insulation": insulation, "clevis": clevis, "rod": rod}
