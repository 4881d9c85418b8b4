"""What hangs on each connection of a coil, with its hangers and without the first of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from ..analysis.hanging import Gap, gaps
from ..analysis.sections import Sections
from ..analysis.ways import Way, sides, ways
from ..analysis.weighing import Sum
from ..model.hookup import Component, Hookup
from ..model.table import NOT_MEASURED, Column, Row, Table, Unknown, Value
from .job import Job
from .left_out import in_few_words
from .naming import in_blocks
from .weights import pounds

_COLUMNS = (
    Column("units", "Units"),
    Column("coil", "Coil"),
    Column("connection", "Connection"),
    Column("size", "Size"),
    Column("first_hanger", "First hanger off", "ft-in", "right"),
    Column("held", "With it", "lb", "right"),
    Column("bare", "Without it", "lb", "right"),
    Column("reads", "They are"),
    Column("up_to", "Up to"),
    Column("left_out", "Not in it"),
    Column("not_in_it", "What is not in it", data_only=True),
)
_NOTES = (
    "With it: half of what hangs, full, between the connection and its first hanger. Without it: all that hangs as far "
    "as the next joint that opens, beyond the coil's own, or as the line goes: what temporary support has to carry "
    "before that hanger is taken away.",
    "An estimate by weight alone: no bending, spring, pressure or growth by heat. Coil makers allow no load on the "
    "headers.",
)


def nozzle_loads(job: Job) -> Table:
    """A row a connection of every coil of each distinct hookup."""

    def rows(hookup: Hookup) -> Iterator[Row]:
        sections = job.sections(hookup)
        found = ways(hookup, sections)
        beside = sides(found)
        at = {(end[0].id, end[1]): (way, end) for way in found for end in (way.head, way.tail) if end is not None}
        for tag, facts in hookup.coils.items():
            for port in facts.ports:
                if (tag, port) in at:
                    yield _row(job, hookup, sections, *at[tag, port], beside)

    made = in_blocks(job.hookups, lambda hookup: list(rows(hookup)))
    return Table("nozzle-loads", "Loads on coil connections", _COLUMNS, made, _NOTES)


def _row(
    job: Job,
    hookup: Hookup,
    sections: Sections,
    way: Way,
    end: tuple[Component, str],
    beside: Mapping[str, list[Component]],
) -> Row:
    coil, port = end
    scales = job.scales(hookup)
    stretches = gaps(hookup, way, beside)
    first = stretches[0] if way.head is end else stretches[-1]
    hanger = first.after if way.head is end else first.before
    bare, up_to = _to_the_next_joint(hookup, sections, way, end)
    alone = scales.full([*bare, *(c for one in bare for c in beside.get(one.id, ()))])
    missing = dict(alone.missing)
    held: Value = "no hanger in the file"
    if hanger is not None:
        load = Sum()
        load.take(first.weight(scales), share=0.5)
        held = pounds(load)
        missing |= {name: count for name, count in load.missing.items() if name not in missing}
    cells: dict[str, Value] = {
        "coil": coil.tag,
        "connection": port,
        "size": coil.ends[port].size.label if port in coil.ends else coil.size.label,
        "first_hanger": _off(first) if hanger is not None else None,
        "held": held,
        "bare": pounds(alone),
        "reads": "whole" if not missing else "at least this",
        "up_to": up_to,
        "left_out": in_few_words(missing),
        "not_in_it": tuple(f"{count} {name}" for name, count in missing.items()),
    }
    spans = (hookup.coils[coil.tag].ports[port].span, *((hanger.span,) if hanger is not None else ()))
    return Row(cells, spans, "the weights of what lies between added up")


def _off(gap: Gap) -> Fraction | Unknown:
    return gap.least if gap.sure else NOT_MEASURED


def _to_the_next_joint(
    hookup: Hookup, sections: Sections, way: Way, end: tuple[Component, str]
) -> tuple[list[Component], str]:
    """What is left in one piece with a coil when the next joint beyond its own is opened, and what stands behind it."""
    outward = way.components if way.head is end else way.components[::-1]
    other = way.tail if way.head is end else way.head
    made: list[Component] = []
    beyond = False  # past what makes up the coil's own connection
    for before, component in zip((end[0], *outward), outward, strict=False):
        joint = next(j for _, at, _, j in sections.neighbours[before.id] if at == component.id)
        if beyond and joint.breaks:
            return made, component.called
        made.append(component)
        if beyond and component.kind.can("breaks"):
            return made, component.called
        beyond |= not component.between or component.pipe is not None
    return made, other[0].called if other is not None else "its end"
