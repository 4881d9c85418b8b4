"""Lineups as lists: what every coil carries, how every valve stands, what stands and flows in every line, what keeps
services apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import groupby

from ..analysis.apart import all_apart
from ..analysis.lineups import Standing, lineups_of, worked_out
from ..analysis.network import is_settable
from ..model.hookup import Component, Hookup, Lineup
from ..model.table import Column, Row, Table, Value
from .job import Job
from .naming import in_blocks, stops, things

_UNITS, _LINEUP = Column("units", "Units"), Column("lineup", "Lineup")
_SHUT_IN = "shut in"
_NOTES = (
    "Valves that a lineup does not name stand as they normally do. A file without lineups has one, `normal`.",
    "Shut in: no main reaches it; what stood there before stands there still.",
)
_UNKNOWN = "Unknown: the file does not say what this main carries; write `main TAG on SERVICE` where a line joins it."


def _each(job: Job, rows_of: Callable[[Hookup, Lineup, Standing], Iterator[Row]]) -> tuple[Row, ...]:
    """The rows of every lineup of every hookup."""

    def rows(hookup: Hookup) -> list[Row]:
        made = worked_out(hookup, job.sections(hookup))
        return [
            replace(row, cells={"lineup": lineup.name, **row.cells})
            for lineup in lineups_of(hookup)
            for row in rows_of(hookup, lineup, made.stand(lineup))
        ]

    return in_blocks(job.hookups, rows)


def _unknown(job: Job) -> tuple[str, ...]:
    """What is to be said of mains of which nobody knows what they carry, if there are any."""
    mains = (c for hookup in job.hookups for c in hookup.components() if c.kind.ports == "main")
    return (_UNKNOWN,) if any(not main.service for main in mains) else ()


def _services(found: tuple[str, ...]) -> str:
    return " and ".join(found) or _SHUT_IN


# -- coils -------------------------------------------------------------------------------------------------------------


def lineups(job: Job) -> Table:
    """A row for every coil in every lineup."""
    columns = (
        _UNITS,
        _LINEUP,
        Column("coil", "Coil"),
        Column("carries", "Carries"),
        Column("expected", "Expected"),
        Column("met", "Met"),
        Column("way", "Way through it, in flow order"),
    )
    return Table("lineups", "Lineups: what every coil carries", columns, _each(job, _coils), (*_NOTES, *_unknown(job)))


def _coils(hookup: Hookup, lineup: Lineup, stands: Standing) -> Iterator[Row]:
    expected = {coil: (service, span) for coil, service, span in lineup.expect}
    for tag, facts in hookup.coils.items():
        if tag not in hookup.graph:
            continue
        service, span = expected.get(tag, ("", lineup.span))
        carries = stands.standing(tag)
        way = _way(stands, tag, carries)
        cells: dict[str, Value] = {
            "coil": tag,
            "carries": _services(carries),
            "expected": service or "nothing said",
            "met": _met(hookup, service, carries, way),
            "way": way,
        }
        yield Row(cells, (span, facts.span), "worked out from the positions of the valves")


def _way(stands: Standing, coil: str, carries: tuple[str, ...]) -> Value:
    """The tags from a supply to a return main of what the coil carries."""
    try:
        ways = [way for service in carries if (way := stands.coil_way(coil, service)) is not None]
    except TimeoutError:
        return "cannot tell: too many ways to follow"
    if not ways:
        return "none"
    tags = stops(ways[0].path, stands.network.hookup)
    return (*tags, "backward through the coil") if ways[0].backward else tags


def _met(hookup: Hookup, service: str, carries: tuple[str, ...], way: Value) -> str:
    if not service:
        return ""
    if any(name not in hookup.services for name in carries):
        return "cannot tell"
    if carries != (service,):
        return "no"
    if isinstance(way, str):
        return "no: nothing flows" if way == "none" else "cannot tell"
    return "yes"


# -- valves ------------------------------------------------------------------------------------------------------------


def positions(job: Job) -> Table:
    """A row for every isolation valve in every lineup; valves of drains and vents only where they do not stand shut."""
    columns = (
        _UNITS,
        _LINEUP,
        Column("valve", "Valve"),
        Column("line", "Line"),
        Column("position", "Position"),
        Column("by", "Says who"),
        Column("carries", "Carries"),
        Column("flow", "Flow"),
    )
    shut = "Drains, vents and gauge cocks are listed only where they do not stand shut."
    return Table("positions", "Positions of the valves", columns, _each(job, _valves), (*_NOTES, *_unknown(job), shut))


def _valves(hookup: Hookup, lineup: Lineup, stands: Standing) -> Iterator[Row]:
    named = dict((*lineup.open, *lineup.closed))
    for valve in hookup.components():
        is_shut = valve.id in stands.shut
        if not is_settable(valve) or (valve.id not in stands.network.pieces_of and valve.tag not in named):
            continue
        if valve.role and is_shut:
            continue
        if valve.tag in named:
            by = "the lineup"
        else:
            by = f"normally {'closed' if valve.closed else 'open'}" if valve.position_said else "not said: open"
        cells: dict[str, Value] = {
            "valve": valve.called,
            "line": valve.line,
            "position": "shut" if is_shut else "open",
            "by": by,
            "carries": " | ".join(dict.fromkeys(_sides(stands, valve))) if is_shut else _at(stands, valve.id),
            "flow": "none" if is_shut else _flow(stands, valve.id),
        }
        yield Row(cells, (named[valve.tag], *valve.origin) if valve.tag in named else (*valve.origin, lineup.span), by)


def _at(stands: Standing, id: str) -> str:
    return _services(stands.standing(id))


def _sides(stands: Standing, valve: Component) -> list[str]:
    return [_services(stands.carries.get(stands.group[p], ())) for p in stands.network.sides(valve.id)]


def _flow(stands: Standing, id: str) -> str:
    flows, way = stands.flowing(id)
    if not flows:
        return "dead leg"
    return {1: "as drawn", -1: "against the drawing", 0: "either way"}[way]


# -- lines -------------------------------------------------------------------------------------------------------------


def standing(job: Job) -> Table:
    """Every line of every lineup, cut where what stands in it or how it flows changes."""
    columns = (
        _UNITS,
        _LINEUP,
        Column("line", "Line"),
        Column("part", "From - to"),
        Column("carries", "Carries"),
        Column("flow", "Flow"),
    )
    note = (
        "As drawn: the way the line is written. Either way: it hangs on the pressures of two mains or two pumps. "
        "Branches off a line that end (drains, vents, instruments) are dead legs and are left out."
    )
    notes = (*_NOTES, *_unknown(job), note)
    return Table("standing", "What stands and flows in every line", columns, _each(job, _runs), notes)


def _runs(hookup: Hookup, lineup: Lineup, stands: Standing) -> Iterator[Row]:
    for line, parts in parts_by_line(hookup).items():
        numbers = range(1, len(parts) - 1)  # without what the line joins at its two ends
        states = {n: (_at(stands, parts[n].id), _flow_on_line(stands, parts[n])) for n in numbers}
        for (carries, flow), run in groupby(numbers, key=lambda n: states[n]):
            some = list(run)
            start = next(parts[n] for n in range(some[0], -1, -1) if parts[n].tag or not n)
            end = next(parts[n] for n in range(some[-1], len(parts)) if parts[n].tag or n == len(parts) - 1)
            if flow == "shut":
                start = end = parts[some[0]]
            cells: dict[str, Value] = {
                "line": line,
                "part": " - ".join(things((start, end))),
                "carries": carries,
                "flow": flow,
            }
            origin = tuple(dict.fromkeys((start.origin[0], end.origin[0], lineup.span)))
            yield Row(cells, origin, f"{len(some)} parts alike")


def parts_by_line(hookup: Hookup) -> dict[str, list[Component]]:
    """The parts on each line itself in flow order, first and last what the line joins, without what hangs on it."""
    onward: dict[tuple[str, str], str] = {}
    first: dict[str, str] = {}
    for u, v, joint in sorted(hookup.joints(), key=lambda found: found[2].order):
        info = hookup.lines.get(joint.line)
        if info is None or (joint.port_a in ("branch", "bypass") and hookup.component(u).line == joint.line):
            continue
        if hookup.component(u).line != joint.line:
            first.setdefault(joint.line, u)
        onward.setdefault((joint.line, u), v)
    lines: dict[str, list[Component]] = {}
    for line in hookup.lines:
        at: str | None = first.get(line)
        found: dict[str, None] = {}
        while at is not None and at not in found:
            found[at] = None
            at = onward.get((line, at))
        if len(found) > 2:
            lines[line] = [hookup.component(id) for id in found]
    return lines


def _flow_on_line(stands: Standing, part: Component) -> str:
    """A junction on a line is said to flow as its line does."""
    if part.id in stands.shut:
        return "shut"
    flow = _flow(stands, part.id)
    return "as drawn" if flow == "either way" and part.id in stands.network.at else flow


# -- separation --------------------------------------------------------------------------------------------------------


def separation(job: Job) -> Table:
    """A row for every pair of services in every lineup."""
    columns = (
        _UNITS,
        _LINEUP,
        Column("services", "Services"),
        Column("shut", "Shut valves between", align="right"),
        Column("valves", "Which, on the weakest way"),
        Column("way", "The weakest way"),
        Column("bleed", "Bleed between two shut valves"),
        Column("parting", "Fewest that part them"),
    )
    note = (
        "Two shutoffs in series with a bleed between them, or a removable spool or blind, keep two systems apart; one "
        "valve does not (OSHA on double block and bleed; common practice for hydronic services)."
    )
    notes = (*_NOTES[:1], *_unknown(job), note)
    return Table("separation", "What keeps services apart", columns, _each(job, _pairs), notes)


def _pairs(hookup: Hookup, lineup: Lineup, stands: Standing) -> Iterator[Row]:
    for apart in all_apart(stands):
        cells: dict[str, Value] = {"services": f"{apart.first} - {apart.second}", "shut": "no pipe joins them"}
        if apart.path:
            cells |= {
                "shut": len(apart.valves),
                "valves": things(apart.valves) or ("none: they stand open to each other",),
                "way": stops(apart.path, hookup),
                "bleed": "blind or spool" if apart.blind else "yes" if apart.bled else "no",
                "parting": "no valves do" if apart.parting is None else things(apart.parting),
            }
        spans = (lineup.span, *(v.origin[0] for v in apart.valves))
        yield Row(cells, spans, "the way with the fewest shut valves on it")
