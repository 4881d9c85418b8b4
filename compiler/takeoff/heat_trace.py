"""The heat trace list: traced pipe, the extra at valves, flanges and supports, cable, watts, seals and connections."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

import networkx as nx

from ..analysis.hanging import HANGER
from ..catalogue.dimensions import outside
from ..catalogue.heat_trace import at_valve, cable, figure, heat_loss
from ..model.declared import Service
from ..model.hookup import Component, Hookup
from ..model.size import Size, find_size
from ..model.span import Origin
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Column, Row, Table, Unknown, Value
from .flanged import dims_of
from .job import Job
from .piping import Piping, is_body, piping, what_taps
from .tally import Line, Tally, trimmed
from .traced import lengths, traced_lines

_COLUMNS = (
    Column("service", "Service"),
    Column("held", "Held at", "degF", "right"),
    Column("coldest", "Coldest", "degF", "right"),
    Column("insulation", "Insulation", "in", "right"),
    Column("size", "Size"),
    Column("what", "What"),
    Column("each", "Per unit", align="right"),
    Column("total", "Total", align="right"),
    Column("unit", "Unit"),
    Column("loss", "Loses, with margin", "W/ft", "right"),
    Column("rating", "Cable", "W/ft", "right"),
)
_PIPE, _ALLOWED, _UNMEASURED = "traced pipe", "traced pipe, allowed", "traced pipe, length not measured"
_NOT_IN_IT = ", not in the lengths"
_CABLE, _WATTS, TO_BUY = "cable", "heat of the cable", "cable to buy"
_SPLICES, _SEALS, _POWER = "tee splices", "end seals", "power connections"
_ORDER = (_PIPE, _ALLOWED, _UNMEASURED, "at ", _CABLE, _WATTS, _POWER, _SPLICES, _SEALS)


@dataclass(slots=True)
class _Counts:
    """The rows as they are counted. Per service and size: feet of cable of one run, and what is missing from them."""

    tally: Tally = field(default_factory=Tally)
    services: dict[str, Service] = field(default_factory=dict)
    loss: dict[tuple[str, str], float | Unknown] = field(default_factory=dict)
    missing: dict[str, int] = field(default_factory=dict)
    short: set[tuple[str, str]] = field(default_factory=set)  # services and sizes of which something is missing
    to_buy: Tally = field(default_factory=Tally)  # cable of all services and sizes, by its rating
    ratings: dict[tuple[str, ...], tuple[Value, bool]] = field(default_factory=dict)  # by those keys; is it the least

    def add(
        self, hookup: Hookup, service: Service, size: str, what: str, unit: str, count: float, origin: Origin, why: str
    ) -> None:
        """Count something that each unit has."""
        self.services[_key(service)] = service
        self.tally.add((_key(service), size, what, unit), hookup, count, origin=origin, why=why)

    def lack(self, hookup: Hookup, service: Service, size: str, what: str) -> None:
        """Note that the extra or the length of something is not known."""
        self.short.add((_key(service), size))
        self.missing[what] = self.missing.get(what, 0) + len(hookup.units)


def _key(service: Service) -> str:
    """What tells services apart, their names first: files of one job may mean other things by one name."""
    facts = (held(service), service.coldest_f, service.insulation_in, service.insulation_k, service.tracing)
    return f"{service.name} {facts}"


def heat_trace(job: Job) -> Table:
    """The trace of all units, by service and size; what is fed and sealed, by service. Nothing where none is traced."""
    counts = _Counts()
    for hookup in job.hookups:
        lines = traced_lines(hookup)
        if lines:
            pipes = piping(job, hookup)
            _count_pipe(counts, hookup, pipes, lines)
            _count_extra(counts, hookup, pipes, lines)
            _count_circuits(counts, hookup, pipes, lines)
    for hookup in job.hookups:  # when the most that each size loses is known
        _count_cable(counts, hookup)
    keys = sorted(counts.tally.lines, key=_order)
    rows = (*(_row(job, counts, key, counts.tally.lines[key]) for key in keys), *_to_buy(job, counts))
    return Table("heat-trace", "Heat trace", _COLUMNS, rows, _notes(counts) if rows else ())


def _count_pipe(counts: _Counts, hookup: Hookup, pipes: Piping, lines: dict[str, Service]) -> None:
    for length in lengths(hookup, pipes, lines):
        service, size = lines[length.line], length.size.label
        _set_loss(counts, hookup, service, length.line, length.size)
        if length.inches is None:
            counts.lack(hookup, service, size, f"stretch of size {size} whose length is not measured")
            counts.add(hookup, service, size, _UNMEASURED, "pieces", 1, length.origin, "the file gives no length here")
        elif length.inches > 0:
            what = _ALLOWED if length.allowed else _PIPE
            why = "the `about` lengths" if length.allowed else "along the centreline, fittings and bodies in it"
            counts.add(hookup, service, size, what, "ft", float(length.inches) / 12, length.origin, why)


def _set_loss(counts: _Counts, hookup: Hookup, service: Service, line: str, size: Size) -> None:
    row = hookup.lines[line].spec.row(size)
    od = outside(size, row.metal) if row is not None else None
    loss, before = _loss(service, od), counts.loss.get((_key(service), size.label))
    if isinstance(loss, float) and isinstance(before, float):
        loss = max(loss, before)  # steel of a size is thicker than tube
    counts.loss[_key(service), size.label] = loss


def _loss(service: Service, od: Fraction | None) -> float | Unknown:
    """Watts a foot with the margin; not known where the file says no insulation, conductivity or coldest air."""
    if not service.insulation_in or service.insulation_k is None or service.coldest_f is None:
        return NOT_MEASURED
    if od is None:
        return NOT_IN_TABLES
    colder = max(held(service) - service.coldest_f, 0.0)
    return heat_loss(od, service.insulation_in, service.insulation_k, colder) * float(figure("margin"))


def held(service: Service) -> float:
    """The temperature that the trace holds, degrees F: what the file says, else what is usual."""
    said = service.tracing.held_f
    return float(figure("held")) if said is None else said


def _count_extra(counts: _Counts, hookup: Hookup, pipes: Piping, lines: dict[str, Service]) -> None:
    """The extra length at every body, pair of flanges and support of the traced lines."""
    for component in pipes.line:
        service = lines.get(component.line)
        if service is None:
            continue
        if is_body(component):
            feet = _at_body(service, component)
            _extra(counts, hookup, service, component.size.label, component.kind.name, feet, component.origin, "body")
        for mark in component.pipe.marks if component.pipe is not None else ():
            if mark == HANGER:
                said = service.tracing.support_in
                feet = figure("support") if said is None else said / 12
                _extra(counts, hookup, service, component.size.label, "support", feet, component.origin, "support")
    for way in pipes.taps:
        name, first = what_taps(way)
        service = lines.get(first.line)
        if service is not None:
            what, why = f"{name} on the line{_NOT_IN_IT}", "it hangs on a traced line"
            counts.add(hookup, service, first.size.label, what, "pieces", 1, first.origin[:1], why)
    for u, v, joint in hookup.joints():
        service = lines.get(joint.line)
        if service is None or joint.kind != "bolted" or not {u, v} & pipes.ids:
            continue
        said = service.tracing.flange_in
        dims = next((d for d in map(dims_of, (joint.end_a, joint.end_b)) if d is not None), None)
        turn = None if dims is None else figure("turns") * Fraction(math.pi * float(dims.od) / 12)
        feet = turn if said is None else said / 12
        origin = hookup.component(u).origin[:1] + hookup.component(v).origin[:1]
        _extra(counts, hookup, service, joint.end_a.size.label, "pair of flanges", feet, origin, "pair of flanges")


def _at_body(service: Service, component: Component) -> Fraction | None:
    said = service.tracing.valve_in
    return at_valve(component.kind.name) if said is None else said / 12


def _extra(
    counts: _Counts,
    hookup: Hookup,
    service: Service,
    size: str,
    name: str,
    feet: Fraction | None,
    origin: Origin,
    why: str,
) -> None:
    if feet is None:
        counts.lack(hookup, service, size, f"extra at a {name} of size {size}")
        counts.add(hookup, service, size, f"at {name}, extra not in the tables", "pieces", 1, origin, f"a {why}")
    else:
        counts.add(hookup, service, size, f"at {name}", "ft", float(feet), origin, f"extra at each {why}")


def _count_cable(counts: _Counts, hookup: Hookup) -> None:
    """Add up the feet of this hookup by service and size, and turn them into cable and watts."""
    for key, line in list(counts.tally.lines.items()):
        which, size, what, unit = key
        each = line.each.get(id(hookup))
        loss = counts.loss.get((which, size))
        if each is None or unit != "ft" or what == _CABLE:
            continue
        service = counts.services[which]
        if isinstance(loss, float):
            runs, rating = cable(loss)
            why = "pipe and extra, times the runs"
            watts = float(rating) * runs * each
            counts.add(hookup, service, size, _WATTS, "W", watts, line.origin, "cable times its rating")
            of: Value = rating
        else:
            runs, why, of = 1, "one run: what the pipe loses is not known", loss
        counts.add(hookup, service, size, _CABLE, "ft", runs * each, line.origin, why)
        counts.to_buy.add((str(of),), hookup, runs * each, origin=line.origin, why="the cable of all sizes")
        least = (which, size) in counts.short or counts.ratings.get((str(of),), (of, False))[1]
        counts.ratings[(str(of),)] = (of, least)


def _to_buy(job: Job, counts: _Counts) -> Iterator[Row]:
    """The cable of all services and sizes together, a row a rating: it is bought by that alone."""
    for key, (rating, least) in sorted(counts.ratings.items(), key=lambda item: _rank(item[1][0])):
        line = counts.to_buy.lines[key]
        cells: dict[str, Value] = {
            "what": f"{TO_BUY}, at least" if least else TO_BUY,
            "each": line.per_unit(len(job.hookups)),
            "total": trimmed(line.total),
            "unit": "ft",
            "rating": rating,
        }
        yield Row(cells, line.origin, "; ".join(line.reasons))


def _rank(rating: Value) -> tuple[bool, Fraction]:
    """By watts, what is not known last."""
    return (False, rating) if isinstance(rating, Fraction) else (True, Fraction(0))


def _count_circuits(counts: _Counts, hookup: Hookup, pipes: Piping, lines: dict[str, Service]) -> None:
    """Each connected piece of traced pipe: one feed, a splice at each tee into the line, a seal at every other end."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(c.id for c in pipes.line if c.line in lines)
    for u, v, _ in hookup.joints():
        if u in graph and v in graph:
            graph.add_edge(u, v)
    for piece in nx.connected_components(graph):
        members = [c for c in pipes.line if c.id in piece]
        service, origin = lines[members[0].line], tuple(dict.fromkeys(s for c in members for s in c.origin[:1]))
        splices = sum(graph.degree(c.id) > 2 for c in members)
        why = "each connected piece of traced pipe"
        counts.add(hookup, service, "", _POWER, "pieces", 1, origin, why)
        if splices:
            counts.add(hookup, service, "", _SPLICES, "pieces", splices, origin, "each branch between traced lines")
        counts.add(hookup, service, "", _SEALS, "pieces", splices + 1, origin, "each end that is not fed")


def _order(key: tuple[str, ...]) -> tuple[str, bool, Fraction, int, str]:
    which, size, what, _ = key
    rank = next((i for i, start in enumerate(_ORDER) if what == start), _ORDER.index("at "))
    found = find_size(size) if size else None
    return (which, not size, found.inches if found else Fraction(0), rank, what)


def _row(job: Job, counts: _Counts, key: tuple[str, ...], line: Line) -> Row:
    which, size, what, unit = key
    service, loss = counts.services[which], counts.loss.get((which, size))
    short = (which, size) in counts.short and what in (_CABLE, _WATTS)
    cells: dict[str, Value] = {
        "service": service.name,
        "held": held(service),
        "coldest": NOT_MEASURED if service.coldest_f is None else service.coldest_f,
        "insulation": service.insulation_in,
        "size": size,
        "what": f"{what}, at least" if short else what,
        "each": line.per_unit(len(job.hookups)),
        "total": trimmed(line.total),
        "unit": unit,
    }
    if what in (_PIPE, _ALLOWED, _UNMEASURED):
        cells["loss"] = round(loss, 2) if isinstance(loss, float) else loss
    if what == _CABLE:
        runs, cells["rating"] = cable(loss) if isinstance(loss, float) else (1, loss)
        if runs > 1:
            cells["what"] = f"{cells['what']}, in {runs} runs side by side"
    return Row(cells, line.origin, "; ".join(line.reasons))


def _notes(counts: _Counts) -> tuple[str, ...]:
    notes = [
        "Traced: the lines of heat-traced services that are `outdoors`; all lines of one where none says so. Drains, "
        "vents and other taps are counted, not in the lengths: where they are traced, the cable runs out and back.",
        f"Loss: 2 pi k dT / ln(D2 / D1), times {float(figure('margin')):g} (PIP ELCGL01, 14.5), to the next of the "
        "ratings 3, 5, 8 and 10 W/ft (common in the insulation trade), or to more than one run. Cable that is not "
        "stuck down with heat-transfer cement may need half as much again (TM 5-852-5).",
        "Extra: at a valve, the feet of its own pipe that lose as much (M. Frankel, Facility Piping Systems Handbook, "
        "table 5.15, from memory); at a pair of flanges one turn round their outside, at a support 1 ft (common "
        "practice, no source). `heat traced, 3 ft at valves, 2 ft at flanges, 1 ft at supports` says others.",
        "Each connected piece of traced pipe is fed once, spliced where a traced line branches off, and sealed at its "
        "other ends (common practice, no source). How long one circuit may be, thermostats and breakers are the "
        "maker's and the electrician's.",
    ]
    for service in counts.services.values():
        notes.extend(_of_service(service))
    if counts.missing:
        missing = "; ".join(f"{count} x {name}" for name, count in counts.missing.items())
        notes.append(f"Not in the lengths of cable: {missing}.")
    return tuple(notes)


def _of_service(service: Service) -> Iterator[str]:
    source = "" if service.tracing.held_f is not None else " (the usual one, since the file says no other)"
    coldest = "" if service.coldest_f is None else f" in surroundings of {service.coldest_f:g} degF"
    yield f"{service.name} is held at {held(service):g} degF{source}{coldest}."
    lacks = [
        words
        for words, there in (
            ("`insulate 1 in`", bool(service.insulation_in)),
            ("`insulation of glass fiber`, or its `insulation k`", service.insulation_k is not None),
            ("`coldest surroundings -5 degF`", service.coldest_f is not None),
        )
        if not there
    ]
    if lacks:
        yield f"What {service.name} loses is not known: its block has to say {' and '.join(lacks)}."
