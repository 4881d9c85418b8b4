"""What liquid the job takes: its volume by service and unit, and the glycol and water to buy for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from ..analysis.volumes import gallons
from ..analysis.weighing import Sum, named
from ..catalogue.fluids import freezing_point, mixed_from
from ..catalogue.weights import is_outlet
from ..model.declared import USUAL_DRUM, Service
from ..model.hookup import Component, Hookup
from ..model.rounded import Rounded
from ..model.span import Span
from ..model.table import NOT_IN_TABLES, Column, Row, Table, Value
from .job import Job
from .naming import in_blocks
from .packs import PACK_COLUMNS, pack_cells
from .tally import Tally

_PARTS = ("pipe", "fittings", "bodies", "coils")
_COLUMNS = (
    Column("units", "Units"),
    Column("count", "Units built so", align="right"),
    Column("service", "Service"),
    Column("fluid", "Carries"),
    Column("pipe", "Pipe", "gal", "right"),
    Column("fittings", "Fittings", "gal", "right"),
    Column("bodies", "Valves and bodies", "gal", "right"),
    Column("coils", "Coils", "gal", "right"),
    Column("each", "Per unit", "gal", "right"),
    Column("total", "All units built so", "gal", "right"),
    Column("missing", "Not in it", align="right"),
    Column("which", "Which, of one unit"),
)
_BUY = (
    Column("service", "Service"),
    Column("fluid", "Carries"),
    Column("count", "Units", align="right"),
    Column("each", "Per unit", "gal", "right"),
    Column("total", "Volume", "gal", "right"),
    Column("missing", "Not in it", align="right"),
    Column("freezes", "Freezes at", "degF", "right"),
    Column("water", "Water", "gal", "right", adds_up=True),
    Column("glycol", "Neat glycol", "gal", "right", adds_up=True),
    Column("extra", "Spare glycol", "gal", "right", adds_up=True),
    Column("buy", "Glycol to buy", "gal", "right", adds_up=True, formula="glycol + extra"),
    *PACK_COLUMNS,
)
_LEAST = (
    "Sums of what is known: where something is not in it, that is counted and named, and the volume is at least what "
    "stands here."
)
_HOW = (
    "Pipe by its bore, as cut where that is known, else centre to centre, which is longer than the pipe. Butt-weld "
    "fittings and flanges by their shape, threaded elbows, tees and couplings by the pipe's bore between its ends. "
    "What pipe goes into, such as a slip-on flange, counts as pipe there.",
    "Gate, ball, plug and butterfly valves, flexible connectors and spool pieces count at full bore over their face to "
    "face, which is little more than an open one holds. What other bodies hold, their makers say: not in the tables.",
    "Coils by `holds 8 gal`. Mains, tanks and what lies beyond the mains are not in the file and not in it.",
)


@dataclass(slots=True)
class _Fill:
    """What one service takes, gallons, and the lines behind it."""

    parts: dict[str, Sum] = field(default_factory=lambda: {part: Sum() for part in _PARTS})
    spans: dict[Span, None] = field(default_factory=dict)

    @property
    def whole(self) -> Sum:
        """All parts added up."""
        total = Sum()
        for part in self.parts.values():
            total.take(part)
        return total


def charge(job: Job) -> Table:
    """For each distinct hookup what every liquid service takes: one unit, and all that are built so."""

    def rows(hookup: Hookup) -> Iterator[Row]:
        for name, fill in _fills(job, hookup).items():
            whole = fill.whole
            cells: dict[str, Value] = {"service": name, "fluid": _carries(hookup.services[name])}
            cells |= {part: Rounded(held.known, 2) for part, held in fill.parts.items()}
            cells["each"] = Rounded(whole.known, 2)
            cells |= {"missing": sum(whole.missing.values()), "which": _which(whole)}
            yield Row(cells, tuple(fill.spans), "volumes of its pipe, fittings, bodies and coils added up")

    made = tuple(map(_in_all, in_blocks(job.hookups, lambda hookup: list(rows(hookup)), counted=True)))
    return Table("charge", "Fluid charge", _COLUMNS, made, (_LEAST, *_HOW))


def _in_all(row: Row) -> Row:
    """A row with its `total`: what the units built so hold together, rounded once."""
    each, count = row.cells["each"], row.cells["count"]
    assert isinstance(each, Rounded) and isinstance(count, int)
    return replace(row, cells={**row.cells, "total": Rounded(each.exact * count, 2)})


def charge_to_buy(job: Job) -> Table:
    """For each liquid service of all units: its volume, glycol and water, where it freezes, and drums to buy."""
    tally = Tally()
    services: dict[str, Service] = {}
    sums: dict[str, Sum] = {}
    for hookup in job.hookups:
        for name, fill in _fills(job, hookup).items():
            services.setdefault(name, hookup.services[name])
            whole = fill.whole
            sums.setdefault(name, Sum()).take(whole, len(hookup.units))
            tally.add((name,), hookup, whole.known, "", tuple(fill.spans), "the volumes of all units, by their share")
    rows = []
    for name, service in services.items():
        line = tally.lines[(name,)]
        cells: dict[str, Value] = {
            "service": name,
            "fluid": _carries(service),
            "count": sum(map(len, line.units.values())),
            "each": line.per_unit(len(job.hookups)),
            "total": Rounded(sums[name].known, 1),
            "missing": sum(sums[name].missing.values()),
            **_mixed(job, service, sums[name].known),
        }
        rows.append(Row(cells, (*service.origin[:1], *line.origin), "; ".join(line.reasons)))
    spare = job.settings.spares.get("glycol")
    notes = (
        _LEAST,
        "Glycol and water are measured at 60 degF, and fill the volume at 40 degF: together they are 1 to 3 % more "
        "than it, since they shrink in mixing and in the cold. What is sold with water in it is mixed by its maker's "
        "table.",
        "Freezing point of the strength that the file gives; a product's own table stands before it.",
        f"Spare glycol: {round(100 * spare, 2):g} %." if spare else "No spare glycol is asked for.",
        f"Glycol comes in {job.settings.packs.get('glycol', USUAL_DRUM)}"
        + ("." if "glycol" in job.settings.packs else ", as usual where the file does not say."),
    )
    one_glycol = len({service.fluid for service in services.values() if service.fluid.endswith("glycol")}) < 2
    columns = _BUY if one_glycol else tuple(replace(c, adds_up=c.adds_up and c.key == "water") for c in _BUY)
    return Table("charge-to-buy", "Glycol and water to buy", columns, tuple(rows), notes)


def _mixed(job: Job, service: Service, volume: float) -> dict[str, Value]:
    """Cells of what a volume is mixed from."""
    parts = mixed_from(service)
    if service.fluid == "water" and parts is not None:
        return {"freezes": 32, "water": Rounded(volume * parts.water, 1)}
    if parts is None or service.share is None:
        return dict.fromkeys(("freezes", "water", "glycol", "buy"), NOT_IN_TABLES)
    freezes = freezing_point(service.fluid, service.share, service.basis)
    glycol = Rounded(volume * parts.glycol, 1)
    extra = Rounded(glycol.exact * job.settings.spares.get("glycol", 0.0), 1)
    return {
        "freezes": NOT_IN_TABLES if freezes is None else round(freezes, 1),
        "water": Rounded(volume * parts.water, 1),
        "glycol": glycol,
        "extra": extra if "glycol" in job.settings.spares else None,
        "buy": Rounded.shown(round(glycol + extra, 1), glycol.exact + extra.exact),
        **pack_cells(job.settings.packs.get("glycol", USUAL_DRUM), glycol + extra),
    }


def _fills(job: Job, hookup: Hookup) -> dict[str, _Fill]:
    """What each service of a hookup that carries a liquid takes, in the file's order."""
    fills: dict[str, _Fill] = {}
    scales = job.scales(hookup)
    for component in hookup.components():
        service = hookup.services.get(component.service)
        if component.kind.ports in ("main", "mark") or service is None or service.fluid == "steam":
            continue
        fill = fills.setdefault(service.name, _Fill())
        facts = hookup.coils.get(component.tag) if component.kind.ports == "coil" else None
        if facts is not None:
            held = NOT_IN_TABLES if facts.volume_gal is None else facts.volume_gal
            fill.parts["coils"].add(held, f"coil {facts.tag}: the file does not say what it holds")
        else:
            fill.parts[_part(component)].add(gallons(hookup, scales, component), named(component))
        fill.spans.update(dict.fromkeys(component.origin[:1]))
    return fills


def _part(component: Component) -> str:
    """The column that a component counts in: outlets are fittings of no volume, on pipe that has one."""
    if component.pipe is not None or is_outlet(component) or "nipple" in component.kind.name:
        return "pipe"
    return "fittings" if component.kind.group in ("fittings", "flanges") else "bodies"


def _carries(service: Service) -> str:
    """`propylene glycol, 30 % by volume`."""
    if service.share is None:
        return service.fluid or "not said"
    return f"{service.fluid}, {round(100 * service.share, 2):g} % by {service.basis or 'volume'}"


def _which(total: Sum) -> tuple[str, ...]:
    return tuple(f"{count} {name}" for name, count in total.missing.items())
