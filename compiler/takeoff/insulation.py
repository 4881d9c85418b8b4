"""The insulation list: pipe, fittings, covers and taps by service, thickness and size, with the area of the jacket."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from ..analysis.pipe_lengths import pipe_length
from ..catalogue.dimensions import outside, steel_pipe, weld_elbow
from ..catalogue.jackets import is_cold, jacket_area
from ..catalogue.shapes import elbow_volume
from ..catalogue.weights import is_outlet
from ..model.declared import Service
from ..model.hookup import Component, Hookup
from ..model.quantity import format_feet_inches
from ..model.rounded import Rounded
from ..model.size import Size, find_size
from ..model.span import Origin
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Column, Row, Table, Unknown, Value
from .describe import size_text
from .job import Job
from .pieces_of_pipe import pipe_pieces
from .piping import Piping, is_body, piping, what_taps
from .tally import Line, Tally, trimmed

_COLUMNS = (
    Column("service", "Service"),
    Column("where", "Where"),
    Column("thickness", "Thickness", "in", "right"),
    Column("size", "Size"),
    Column("part", "Part"),
    Column("what", "What"),
    Column("each", "Per unit", align="right"),
    Column("total", "Total", align="right"),
    Column("unit", "Unit"),
    Column("area", "Jacket", "sq ft", "right", adds_up=True),
    Column("retarder", "Vapor retarder"),
)
_PARTS = ("pipe", "fittings", "covers", "taps")
_ELBOWS = {"elbow": 90, "45 elbow": 45}
_NOTES = (
    "Pipe: as cut where that is known, with nipples; else centre to centre as the moves give it, fittings and bodies "
    "in it; pieces whose length is not measured are counted.",
    "Jacket: pi x (outside diameter + 2 x thickness) x length, of pipe and, along their centreline, of butt-weld "
    "elbows, whose take-outs are not in the jacket of pipe that is counted centre to centre. Nothing that could be "
    "read gives other fittings, covers and taps as lengths of pipe, so they are counted and have no area here; neither "
    "have laps and waste.",
    "A cover takes in the flanges of its body; `flange pair`: two flanges that no body is bolted to, or a coil's and "
    "its companion. Taps are drains, vents, gauges and the like on the line, insulated as far as the job asks.",
    "Vapor retarder: services of 60 degF and colder (ASHRAE 90.1 table 6.8.3B for the temperature, WAC 51-11C-40328 "
    "for the retarder). Outdoors the insulation has to be kept from weather (the same).",
)
_EXEMPT = (
    "Strainers, control valves and balancing valves of NPS 1 and smaller need not be insulated (WAC 51-11C-40328); "
    "they are counted."
)
#: What the energy code exempts, by what they can do, and up to which size.
_EXEMPTED = ("strains", "controls", "balances")


@dataclass(frozen=True, slots=True)
class _At:
    """Where insulation goes: on which service, where, how thick."""

    service: Service
    where: str
    thickness: Fraction

    @property
    def retarder(self) -> str:
        """What the list says of a vapor retarder."""
        low = self.service.low_f
        return "design temperature not said" if low is None else "yes" if is_cold(low) else ""


@dataclass(slots=True)
class _Counts:
    """The rows as they are counted. `areas`: square feet by key; `unknown`: keys of which some area is not known."""

    tally: Tally = field(default_factory=Tally)
    areas: dict[tuple[str, ...], float] = field(default_factory=dict)
    unknown: dict[tuple[str, ...], Unknown] = field(default_factory=dict)
    at: dict[tuple[str, ...], _At] = field(default_factory=dict)
    unsaid: dict[str, None] = field(default_factory=dict)  # services that do not tell how they are insulated
    exempt: bool = False

    def add(
        self,
        hookup: Hookup,
        at: _At,
        size: str,
        part: str,
        what: str,
        unit: str,
        count: float,
        area: float | Unknown | None,
        origin: Origin,
        why: str,
    ) -> None:
        """Count something in, with its area in every unit; None: it has none here."""
        key = (at.service.name, at.where, str(at.thickness), at.retarder, size, part, what, unit)
        self.at[key] = at
        self.tally.add(key, hookup, count, origin=origin, why=why)
        if isinstance(area, Unknown):
            self.unknown[key] = area
        elif area is not None:
            self.areas[key] = self.areas.get(key, 0.0) + area * len(hookup.units)

    def piece(self, hookup: Hookup, at: _At, size: str, part: str, what: str, origin: Origin, why: str) -> None:
        """Count one piece that has no area here."""
        self.add(hookup, at, size, part, what, "pieces", 1, None, origin, why)


def insulation(job: Job) -> Table:
    """All that is insulated, equal things of all units drawn together, by service, thickness and size."""
    counts = _Counts()
    for hookup in job.hookups:
        pipes = piping(job, hookup)
        _count_pipe(counts, hookup, pipes)
        _count_line(counts, hookup, pipes)
        _count_flanges(counts, hookup, pipes)
        for way in pipes.taps:
            name, first = what_taps(way)
            at = _at(counts, hookup, first)
            if at is not None:
                counts.piece(hookup, at, first.size.label, "taps", name, first.origin[:1], "it hangs on the line")
    keys = sorted(counts.tally.lines, key=_order)
    rows = tuple(_row(job, counts, key, counts.tally.lines[key]) for key in keys)
    return Table("insulation", "Insulation", _COLUMNS, rows, _notes(counts, rows))


def _at(counts: _Counts, hookup: Hookup, component: Component) -> _At | None:
    """How a component is insulated; None where it is not, or where the file does not say."""
    return _insulated(counts, hookup, component.service, component.line)


def _insulated(counts: _Counts, hookup: Hookup, name: str, line: str) -> _At | None:
    service = hookup.services.get(name)
    if service is None or service.insulation_in is None:
        counts.unsaid.setdefault(name)
        return None
    info = hookup.lines.get(line)
    outdoors = info is not None and "outdoors" in info.remarks
    return _At(service, "outdoors" if outdoors else "", service.insulation_in) if service.insulation_in > 0 else None


def _outside(hookup: Hookup, component: Component) -> Fraction | None:
    row = hookup.lines[component.line].spec.row(component.size)
    return None if row is None else outside(component.size, row.metal)


def _area(hookup: Hookup, component: Component, at: _At, inches: float) -> float | Unknown:
    od = _outside(hookup, component)
    return NOT_IN_TABLES if od is None else jacket_area(od, at.thickness, inches)


def _count_pipe(counts: _Counts, hookup: Hookup, pipes: Piping) -> None:
    """Count pipe and nipples."""
    for piece in pipe_pieces(hookup):
        first = next((c for c in piece.components if c.pipe is not None), piece.components[0])
        at = _at(counts, hookup, first)
        if at is None:
            continue
        origin = tuple(span for c in piece.components for span in c.origin)
        name = "tube" if any(end.form == "tube" for end in first.ends.values()) else "pipe"
        if isinstance(piece.cut, Fraction):
            if piece.cut > 0:
                _add_length(counts, hookup, first, at, name, piece.cut, origin, "cut to length")
            continue
        elbows = _elbows_beside(hookup, piece.components)
        if piece.measured:
            what = f"{name}, centre to centre"
            _add_length(counts, hookup, first, at, what, piece.measured, origin, "the lengths of the moves", elbows)
        if piece.allowed:
            what = f"{name}, allowed where it is not measured yet"
            taken = Fraction(0) if piece.measured else elbows
            _add_length(counts, hookup, first, at, what, piece.allowed, origin, "the `about` lengths", taken)
        if piece.unmeasured:
            _add_length(counts, hookup, first, at, name, NOT_MEASURED, origin, "the file gives no length here")
    for component in pipes.line:
        if "nipple" in component.kind.name:
            at = _at(counts, hookup, component)
            if at is not None:
                length = pipe_length(hookup, component)
                _add_length(counts, hookup, component, at, "pipe", length, component.origin[:1], "a nipple")


def _add_length(
    counts: _Counts,
    hookup: Hookup,
    component: Component,
    at: _At,
    what: str,
    length: Fraction | Unknown,
    origin: Origin,
    why: str,
    elbows: Fraction = Fraction(0),
) -> None:
    """Count a length of pipe. `elbows`: how much of it is in elbows, which have a jacket of their own."""
    size = component.size.label
    if isinstance(length, Fraction):
        area = _area(hookup, component, at, float(max(length - elbows, Fraction(0))))
        counts.add(hookup, at, size, "pipe", what, "ft", float(length) / 12, area, origin, why)
    else:
        counts.add(hookup, at, size, "pipe", f"{what}, length {length}", "pieces", 1, length, origin, why)


def _count_line(counts: _Counts, hookup: Hookup, pipes: Piping) -> None:
    """Count fittings and bodies."""
    tapped = {way.head[0].id for way in pipes.taps if way.head is not None}
    for component in pipes.line:
        name = component.kind.name
        fitting = (
            component.kind.group == "fittings"
            and "nipple" not in name
            and not (is_outlet(component) and component.id in tapped)
        )
        at = _at(counts, hookup, component) if fitting or is_body(component) else None
        if at is None:
            continue
        why = component.why or "it stands in the line"
        if fitting:
            area = _elbow_area(hookup, component, at)
            counts.add(hookup, at, size_text(component), "fittings", name, "pieces", 1, area, component.origin, why)
        else:
            small = component.size.inches <= 1 and any(component.kind.can(word) for word in _EXEMPTED)
            counts.exempt |= small
            counts.piece(hookup, at, component.size.label, "covers", name, component.origin, why)
    for u, v, joint in hookup.joints():
        if joint.kind == "grooved" and {u, v} <= pipes.ids:
            at = _insulated(counts, hookup, hookup.lines[joint.line].service, joint.line)
            if at is not None:
                origin = hookup.component(u).origin[:1]
                size = joint.end_a.size.label
                why = "one for each grooved joint"
                counts.piece(hookup, at, size, "fittings", "grooved coupling", origin, why)


def _elbow_area(hookup: Hookup, component: Component, at: _At) -> float | Unknown | None:
    """Over a butt-weld elbow; None over other fittings."""
    row = hookup.lines[component.line].spec.row(component.size)
    if not _is_weld_elbow(component) or row is None:
        return None
    pipe = steel_pipe(component.size, row.wall)
    bend = elbow_volume(pipe, component.size, _ELBOWS[component.kind.name], _radius(component)) if pipe else None
    return NOT_IN_TABLES if bend is None else _area(hookup, component, at, bend.length)


def _is_weld_elbow(component: Component) -> bool:
    end = component.ends.get("in")
    return component.kind.name in _ELBOWS and end is not None and end.form == "bevel"


def _radius(component: Component) -> str:
    return "short" if "short radius" in component.remarks else "long"


def _elbows_beside(hookup: Hookup, piece: list[Component]) -> Fraction:
    """What the butt-weld elbows at the ends of a piece of pipe take of its length from centre to centre, inches."""
    taken = Fraction(0)
    for component in piece:
        for other in map(hookup.component, _neighbours(hookup, component.id)):
            if _is_weld_elbow(other):
                taken += weld_elbow(other.size, _ELBOWS[other.kind.name], _radius(other)) or 0
    return taken


def _neighbours(hookup: Hookup, id: str) -> Iterator[str]:
    yield from hookup.graph.predecessors(id)
    yield from hookup.graph.successors(id)


def _count_flanges(counts: _Counts, hookup: Hookup, pipes: Piping) -> None:
    """Count the pairs of flanges that stand by themselves."""
    line = pipes.ids
    for u, v, joint in hookup.joints():
        both = (hookup.component(u), hookup.component(v))
        if joint.kind != "bolted" or any(is_body(c) for c in both):
            continue
        if any(c.id in line for c in both):
            at = _insulated(counts, hookup, hookup.lines[joint.line].service, joint.line)
            if at is not None:
                why = "two flanges that no body is bolted to"
                origin = both[0].origin[:1] + both[1].origin[:1]
                counts.piece(hookup, at, joint.end_a.size.label, "covers", "flange pair", origin, why)


def _order(key: tuple[str, ...]) -> tuple[str, str, Fraction, int, Fraction, str, str]:
    service, where, thickness, _, size, part, what, _ = key
    found: Size | None = find_size(size.split(" x ")[0])
    return (service, where, Fraction(thickness), _PARTS.index(part), found.inches if found else Fraction(0), size, what)


def _row(job: Job, counts: _Counts, key: tuple[str, ...], line: Line) -> Row:
    at = counts.at[key]
    area: Value = counts.unknown.get(key)
    if area is None and key in counts.areas:
        area = Rounded(counts.areas[key], 2)
    cells: dict[str, Value] = {
        "service": key[0],
        "where": key[1],
        "thickness": at.thickness,
        "size": key[4],
        "part": key[5],
        "what": key[6],
        "each": line.per_unit(len(job.hookups)),
        "total": trimmed(line.total),
        "unit": key[7],
        "area": area,
        "retarder": at.retarder,
    }
    return Row(cells, line.origin, "; ".join(line.reasons))


def _notes(counts: _Counts, rows: tuple[Row, ...]) -> tuple[str, ...]:
    notes = list(_NOTES)
    if counts.exempt:
        notes.append(_EXEMPT)
    unsaid = [name for name in counts.unsaid if name]
    if unsaid:
        notes.append(f"Not in it, since the file does not say `insulate` of them: {', '.join(unsaid)}.")
    missing: dict[str, float] = {}
    for row in rows:
        if isinstance(row.cells["area"], Unknown):
            thick = row.cells["thickness"]
            assert isinstance(thick, Fraction)
            name = f"{row.cells['what']}, size {row.cells['size']}, {format_feet_inches(thick)} of insulation"
            total = row.cells["total"]
            missing[name] = missing.get(name, 0) + (total if isinstance(total, int | float) else 0)
    if missing:
        notes.append(
            "Jacket not known, and not in any sum: "
            + "; ".join(f"{trimmed(n)} x {name}" for name, n in missing.items())
            + "."
        )
    return tuple(notes)
