"""What the joints use up: filler, sealant, solder and flux, lubricant, spare gaskets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from ..catalogue.soldering import FLUX_SHARE, solder
from ..model.hookup import Hookup, Joint
from ..model.span import Origin
from ..model.table import NOT_IN_TABLES, Column, Row, Table, Unknown, Value
from .bolting import bolting_lines
from .job import Job
from .made_up import made_with
from .packs import pack_cells, pack_of, with_packs
from .tally import Tally, spare, trimmed

_COLUMNS = (
    Column("item", "Item", align="right"),
    Column("what", "For"),
    Column("size", "Size"),
    Column("description", "Description"),
    Column("each", "Joints per unit", align="right"),
    Column("joints", "Joints", align="right"),  # solder and flux are of the same joints: nothing here adds up
    Column("net", "Used up", "lb", "right"),
    Column("extra", "Waste", "lb", "right"),
    Column("buy", "Buy", "lb", "right", formula="net + extra"),
    Column("spares", "Spare gaskets and kits", align="right"),
)
_NOTES = (
    "Joints by size are in the lists weld-totals, made-up-joints and bolting.",
    "Solder: Copper Tube Handbook, table 14.10: what stays in a joint 0.005 in wide, and as much again for waste. "
    "Flux: 2 oz a pound of solder, the same table. Brazing rod is not in the tables.",
    "Filler: weld metal, and what of rod or wire does not become weld metal.",
    "How much thread sealant and lubricant of couplings a joint takes, only makers say: not in the tables.",
)
_ORDER = ("welding", "threads", "soldering", "grooved couplings", "flanges")
_MADE_UP = {"threaded": "threads", "soldered": "soldering", "grooved": "grooved couplings"}


class _Use(NamedTuple):
    """What one joint uses of one thing: net and waste, lb."""

    what: str
    description: str
    packed: str  # of `PACKED`; empty: nothing that the file can say it is bought by
    net: float | Unknown
    extra: float | Unknown
    origin: Origin
    why: str


@dataclass(slots=True)
class _Sums:
    """Of all units; not known where one joint's is not."""

    packed: str
    net: float | Unknown = 0.0
    extra: float | Unknown = 0.0


def consumables(job: Job) -> Table:
    """For all units, one row a product: the joints that take it, what they use up, what is wasted."""
    tally, sums = Tally(), dict[tuple[str, ...], _Sums]()
    for hookup in job.hookups:
        for use in (*_welded(job, hookup), *_made_up(hookup)):
            key: tuple[str, ...] = (use.what, "", use.description)
            tally.add(key, hookup, 1, "", use.origin, use.why)
            held = sums.setdefault(key, _Sums(use.packed))
            held.net = _more(held.net, use.net, len(hookup.units))
            held.extra = _more(held.extra, use.extra, len(hookup.units))
    for (group, size, description, *_), line in bolting_lines(job).items():
        if group == "gaskets":
            tally.lines[("flanges", size, description)] = line
    share = job.settings.spares.get("gaskets")
    rows: list[Row] = []
    for key in sorted(tally.lines, key=lambda key: _ORDER.index(key[0])):
        line = tally.lines[key]
        cells: dict[str, Value] = dict(zip(("what", "size", "description"), key, strict=True))
        cells |= {"item": len(rows) + 1, "each": line.per_unit(len(job.hookups)), "joints": trimmed(line.total)}
        if key in sums:
            cells |= _amounts(sums[key], job)
        elif share:
            cells["spares"] = extra = spare(line.total, share)
            cells |= pack_cells(pack_of("gaskets", key[2], job.settings), line.total + extra)
        rows.append(Row(cells, line.origin, "; ".join(line.reasons)))
    return Table("consumables", "Consumables", with_packs(_COLUMNS, rows), tuple(rows), _NOTES)


def _amounts(sums: _Sums, job: Job) -> dict[str, Value]:
    net, extra = _lb(sums.net), _lb(sums.extra)
    if isinstance(net, Unknown) or isinstance(extra, Unknown):
        return {"net": net, "extra": extra, "buy": NOT_IN_TABLES}
    buy = round(net + extra, 3)
    return {"net": net, "extra": extra, "buy": buy, **pack_cells(job.settings.packs.get(sums.packed), buy)}


def _welded(job: Job, hookup: Hookup) -> Iterator[_Use]:
    """Rod and wire, each weld once for every filler in it."""
    for weld in job.welds(hookup):
        by_filler: dict[str, tuple[float | Unknown, float | Unknown]] = {}
        for deposit in weld.deposits:
            diameter = deposit.filler.diameter
            name = f"{deposit.filler}, {f'{diameter} in' if diameter is not None else 'diameter not said'}"
            if isinstance(deposit.bought, Unknown):  # in a row of their own, so that the others are added up
                name += f", {weld.kind} welds"
            net, bought = by_filler.get(name, (0.0, 0.0))
            by_filler[name] = (_more(net, deposit.metal, 1), _more(bought, deposit.bought, 1))
        for name, (net, bought) in by_filler.items():
            waste = bought if isinstance(bought, Unknown) else _more(bought, net, -1)
            yield _Use("welding", f"filler, {name}", "filler", net, waste, weld.origin, "the metal of its welds")


def _made_up(hookup: Hookup) -> Iterator[_Use]:
    for u, _, joint in hookup.joints():
        what = _MADE_UP.get(joint.kind)
        if what is None:
            continue
        origin, why = joint.origin or hookup.component(u).origin, f"each {joint.kind} joint"
        if joint.kind == "soldered":
            yield from _soldered(what, made_with(hookup, joint), joint, origin, why)
        else:
            product = f"sealant, {made_with(hookup, joint)}" if joint.kind == "threaded" else "lubricant of gaskets"
            yield _Use(what, product, "", NOT_IN_TABLES, NOT_IN_TABLES, origin, why)


def _soldered(what: str, alloy: str, joint: Joint, origin: Origin, why: str) -> Iterator[_Use]:
    needed = solder(joint.end_a.size, alloy)
    if needed is None:  # in a row of its own, so that the others are added up
        for name in ("solder", "flux"):
            description = f"{name}, {alloy}, joints of {joint.end_a.size}"
            yield _Use(what, description, name, NOT_IN_TABLES, NOT_IN_TABLES, origin, why)
        return
    yield _Use(what, f"solder, {alloy}", "solder", needed.net, needed.waste, origin, why)
    flux = (FLUX_SHARE * needed.net, FLUX_SHARE * needed.waste)
    yield _Use(what, f"flux, {alloy}", "flux", *flux, origin, why)


def _more(held: float | Unknown, amount: float | Unknown, times: int) -> float | Unknown:
    if isinstance(held, Unknown) or isinstance(amount, Unknown):
        return NOT_IN_TABLES
    return held + amount * times


def _lb(value: float | Unknown) -> float | Unknown:
    return value if isinstance(value, Unknown) else round(value, 3)
