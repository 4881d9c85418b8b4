"""Schedules: valves, instruments and coils, by tag."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from ..analysis.network import is_settable
from ..model.hookup import CoilFacts, Component, Hookup
from ..model.table import Column, Row, Table, Value
from ..passes.mirror import coil_hand
from .describe import ends_text
from .job import Job
from .naming import in_blocks, in_totals

_UNITS = (Column("units", "Units"), Column("count", "Units built so", align="right"))
_NUMBERS = (
    Column("each", "Per unit", align="right"),
    Column("total", "Total", align="right", adds_up=True, formula="count * each"),
)
_VALVES = (
    *_UNITS,
    Column("tag", "Tag"),
    Column("kind", "Kind"),
    Column("size", "Size"),
    Column("ends", "Ends"),
    Column("rating", "Class"),
    Column("material", "Body"),
    Column("position", "Normally"),
    Column("remarks", "Operator and remarks"),
    Column("service", "Service"),
    Column("line", "Line"),
    Column("role", "Part of"),
    *_NUMBERS,
)
_INSTRUMENTS = (
    *_UNITS,
    Column("tag", "Tag"),
    Column("kind", "Kind"),
    Column("size", "Size"),
    Column("ends", "Ends"),
    Column("reads", "Reads"),
    Column("remarks", "Remarks"),
    Column("service", "Service"),
    Column("line", "Line"),
    Column("role", "Part of"),
    *_NUMBERS,
)
_COILS = (
    *_UNITS,
    Column("coil", "Coil"),
    Column("service", "Service"),
    Column("supply", "Supply connection"),
    Column("return", "Return connection"),
    Column("taps", "Taps"),
    Column("headers", "Headers"),
    Column("hand", "Hand to order"),
    Column("ordered", "Ordered"),
    Column("holds", "Holds", "gal", "right"),
    Column("flow", "Flow", "gpm", "right"),
    Column("rows", "Rows", align="right"),
    Column("circuits", "Circuits", align="right"),
    Column("entering", "Coldest air", "degF", "right"),
    Column("rated", "Rated", "psi", "right"),
    *_NUMBERS,
)
_STAR = "A star in a tag stands for the unit's number; the list tags has every tag by itself."
_NOT_SAID = "not said"
_READS = {"reads pressure": "pressure", "reads temperature": "temperature"}


def valves(job: Job) -> Table:
    """Every valve of every distinct hookup by tag; others by what and where they are, equal ones together."""

    def cells(hookup: Hookup, valve: Component) -> dict[str, Value]:
        ends = {end.rating: None for end in valve.ends.values() if end.rating}
        return {
            "kind": valve.kind.name,
            "size": valve.size.label,
            "ends": ends_text(valve),
            "rating": ", ".join(ends) or None,
            "material": valve.made_of,
            "position": normally(valve),
            "remarks": ", ".join(valve.remarks) or None,
        }

    rows = _scheduled(job, "valves", cells)
    notes = (
        "Normally: as the file says; a shutoff of which it says nothing is taken as open. A check or relief valve has "
        "no position of its own, a control valve that of its controls.",
        "Class of flanged, lug and wafer ends; that of threaded and soldered valves stands with their body.",
        _STAR,
    )
    return Table("valves", "Valve schedule", _VALVES, rows, notes)


def normally(valve: Component) -> str | None:
    """How a valve stands where no lineup names it; None for one that nobody sets by hand."""
    if valve.closed:
        return "closed"
    if valve.position_said:
        return "open"
    return "open, not said" if is_settable(valve) and not valve.kind.can("controls") else None


def instruments(job: Job) -> Table:
    """Every instrument of every distinct hookup by tag, and those without one."""

    def cells(hookup: Hookup, instrument: Component) -> dict[str, Value]:
        reads = [word for ability, word in _READS.items() if instrument.kind.can(ability)]
        return {
            "kind": instrument.kind.name,
            "size": instrument.size.label,
            "ends": ends_text(instrument),
            "reads": ", ".join(reads) or None,
            "remarks": ", ".join(instrument.remarks) or None,
        }

    rows = _scheduled(job, "instruments", cells)
    return Table("instruments", "Instrument list", _INSTRUMENTS, rows, (_STAR,))


def _scheduled(job: Job, group: str, cells_of: Callable[[Hookup, Component], dict[str, Value]]) -> tuple[Row, ...]:
    """The components of one group of the bill: tagged ones a row each, others drawn together where they read alike."""

    def rows(hookup: Hookup) -> Sequence[Row]:
        made: dict[str, Row] = {}
        for component in hookup.components():
            if component.kind.group != group:
                continue
            cells: dict[str, Value] = {"tag": component.tag or None, **cells_of(hookup, component)}
            cells |= {"service": component.service, "line": component.line, "role": component.role or None}
            held = made.get(key := repr(cells))
            each = held.cells["each"] if held is not None else 0
            origin = (*(held.origin if held is not None else ()), *component.origin[:1])
            assert isinstance(each, int)
            made[key] = Row({**cells, "each": each + 1}, origin, component.why)
        return list(made.values())

    return in_totals(in_blocks(job.hookups, rows, counted=True))


def coils(job: Job) -> Table:
    """Every coil of every distinct hookup: its connections as they stand, and the hand to order for these units."""

    def rows(hookup: Hookup) -> Iterator[Row]:
        for tag, facts in hookup.coils.items():
            if tag in hookup.graph:
                why = f"the airflow of these units, {hookup.airflow}" if hookup.airflow else "the airflow is not said"
                yield Row(_coil(hookup, facts), (facts.span,), why)

    made = in_totals(in_blocks(job.hookups, lambda hookup: list(rows(hookup)), counted=True))
    notes = (
        "Hand: standing with the air on your back, the side on which the connections are. Units of the other hand have "
        "rows of their own.",
        "What the file does not say of a coil is not said here: its maker's sheet says it.",
        "A star in a tag stands for the unit's number.",
    )
    return Table("coils", "Coil schedule", _COILS, made, notes)


def _coil(hookup: Hookup, facts: CoilFacts) -> dict[str, Value]:
    coil = hookup.component(facts.tag)
    taps = [f"{port} {end.size}" for port, end in coil.ends.items() if port not in ("supply", "return")]
    return {
        "coil": facts.tag,
        "service": facts.service,
        "supply": _connection(coil, facts, "supply"),
        "return": _connection(coil, facts, "return"),
        "taps": ", ".join(taps) or None,
        "headers": facts.header_metal or _NOT_SAID,
        "hand": coil_hand(hookup.airflow) or "cannot tell: airflow not said",
        "ordered": facts.ordered_hand or _NOT_SAID,
        "holds": _said(facts.volume_gal),
        "flow": _said(facts.flow_gpm),
        "rows": _said(facts.rows),
        "circuits": _said(facts.circuits),
        "entering": _said(facts.entering_air_f),
        "rated": _said(facts.rated_psi),
        "each": 1,
    }


def _connection(coil: Component, facts: CoilFacts, name: str) -> str:
    """`low at leaving side, 3 flange class 150 flat face, copper`."""
    port, end = facts.ports.get(name), coil.ends.get(name)
    where = []
    if port is not None and port.level:
        where.append(port.level)
    if port is not None and port.air_side:
        where.append(f"at {port.air_side} side")
    return ", ".join([" ".join(where) or "level not said", *([str(end), end.metal] if end is not None else [])])


def _said(value: float | None) -> Value:
    return _NOT_SAID if value is None else value
