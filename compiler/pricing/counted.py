"""What is bought, row by row, before it is priced: the bill parted by spec, and what other lists have beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from ..model.span import Span
from ..model.table import NOT_IN_TABLES, Column, Row, Table, Unknown, Value
from ..takeoff.bill import items, place_of, product
from ..takeoff.charge import charge_to_buy
from ..takeoff.consumables import consumables
from ..takeoff.flanged import mixed
from ..takeoff.hangers import hangers
from ..takeoff.heat_trace import TO_BUY, heat_trace
from ..takeoff.insulation import insulation
from ..takeoff.job import Job
from ..takeoff.spares import extras
from ..takeoff.tally import trimmed
from .cents import shared
from .parts import INSULATION, PIPE, TRACE, Share

#: What of the heat trace list is bought beside its cable, by how it begins.
_TRACE = ("power connections", "tee splices", "end seals")


@dataclass(slots=True)
class Counted:
    """One row of `costs` before it is priced. `least`: why the quantity is the least, where something is not in it."""

    group: str
    size: str
    description: str
    unit: str
    spec: str
    trade: str
    quantity: float | Unknown = 0.0
    extra: float | None = None
    spec_shown: bool = True  # the row of the bill is parted by spec
    least: str = ""
    shares: list[Share] = field(default_factory=list)
    origin: dict[Span, None] = field(default_factory=dict)


class _Item(NamedTuple):
    """What a row of another list has to buy. `spec`: what a book may tell it apart by."""

    size: str
    description: str
    unit: str
    spec: str
    quantity: float | Unknown
    extra: float | None = None
    least: str = ""


def counted(job: Job) -> Iterator[Counted]:
    """All that is bought: the bill, then insulation, hangers, heat trace, what joints use up, and glycol."""
    yield from _of_bill(job)
    yield from _beside(job)


def beside_the_bill(job: Job) -> Table:
    """What is bought beside the bill, under the columns of the bill that say what and how much it is."""
    rows = []
    for one in _beside(job):
        cells: dict[str, Value] = {"group": one.group, "size": one.size, "description": one.description}
        rows.append(Row({**cells, "total": one.quantity, "extra": one.extra, "unit": one.unit}, tuple(one.origin)))
    columns = tuple(Column(key, key) for key in ("group", "size", "description", "total", "extra", "unit"))
    return Table("beside-the-bill", "Bought beside the bill", columns, tuple(rows))


def _beside(job: Job) -> Iterator[Counted]:
    yield from _of_list(job, insulation, "insulation", INSULATION, _insulation)
    yield from _of_list(job, hangers, "hangers", PIPE, _hanger)
    yield from _of_list(job, heat_trace, "heat trace", TRACE, _trace)
    yield from _of_list(job, consumables, "consumables", PIPE, _used_up)
    yield from _of_list(job, charge_to_buy, "glycol", PIPE, _glycol)


def _of_bill(job: Job) -> Iterator[Counted]:
    """The rows of the bill, each parted by spec, in its order; pipe of one size and material is one of them."""
    totals: dict[tuple[str, ...], float] = {}
    rows: dict[tuple[str, ...], dict[str, Counted]] = {}
    for one in items(job):
        line = one.hookup.lines.get(one.line)
        spec = line.spec.name if line is not None else ""
        key = _as_bought(one.key)
        group, size, text, _, unit = key
        made = rows.setdefault(key, {}).setdefault(spec, Counted(group, size, text, unit, spec, PIPE))
        weight = one.number * len(one.hookup.units)
        totals[one.key] = totals.get(one.key, 0.0) + weight
        made.quantity = weight if isinstance(made.quantity, Unknown) else made.quantity + weight
        last = made.shares[-1] if made.shares else None
        if last is not None and last.hookup is one.hookup and last.line == one.line:
            made.shares[-1] = replace(last, weight=last.weight + weight)
        else:
            made.shares.append(Share(one.hookup, one.line, weight))
        made.origin.update(dict.fromkeys(one.origin))
    sums = {
        key: [0.0 if isinstance(one.quantity, Unknown) else one.quantity for one in parted.values()]
        for key, parted in rows.items()
    }
    more: dict[tuple[str, ...], float] = {}
    for key, extra_of in extras(totals, job.settings).items():
        more[_as_bought(key)] = trimmed(more.get(_as_bought(key), 0) + extra_of)
    for key in sorted(rows, key=place_of):
        parted, whole = list(rows[key].values()), sums[key]
        if len(parted) == 1:
            parted[0].spec_shown = False
        extra = more.get(key)
        if extra is not None:  # shared among the specs, so that it is that of the bill
            step = Decimal(1) if isinstance(extra, int) else Decimal("0.01")
            for row, amount in zip(parted, shared(Decimal(repr(extra)), whole, step), strict=True):
                row.extra = trimmed(float(amount)) or None
        for row in parted:
            row.quantity = trimmed(row.quantity) if not isinstance(row.quantity, Unknown) else row.quantity
            yield row


def _as_bought(key: tuple[str, ...]) -> tuple[str, ...]:
    """A row of the bill by what is bought."""
    return (*key[:2], product(key[2]), *key[3:]) if key[0] == "pipe" else key


def _of_list(
    job: Job, make: Callable[[Job], Table], group: str, trade: str, read: Callable[[Row], _Item | None]
) -> Iterator[Counted]:
    """The rows of another list; whose they are is found by making it for each hookup alone."""
    rows: dict[tuple[str, ...], Counted] = {}
    for row in make(job).rows:
        item = read(row)
        if item is None:
            continue
        made = rows.setdefault(item[:4], Counted(group, *item[:4], trade))
        made.origin.update(dict.fromkeys(row.origin))
        if isinstance(item.quantity, Unknown):
            made.quantity = item.quantity
        elif not isinstance(made.quantity, Unknown):
            made.quantity = _sum(made.quantity, item.quantity)
        if item.extra is not None:
            made.extra = _sum(made.extra or 0, item.extra)
        made.least = made.least or item.least
    for hookup in job.hookups if rows else ():
        for row in make(replace(job, hookups=[hookup])).rows:
            item = read(row)
            if item is not None and item[:4] in rows:
                weight = 0.0 if isinstance(item.quantity, Unknown) else float(item.quantity)
                rows[item[:4]].shares.append(Share(hookup, "", weight))
    yield from rows.values()


def _sum(held: float, more: float) -> float:
    """To the thousandth, which is as fine as a list prints."""
    value = round(held + more, 3)
    return int(value) if value == int(value) else value


def _amount(row: Row, key: str) -> float | Unknown:
    value = row.cells.get(key)
    return value if isinstance(value, int | float | Unknown) else NOT_IN_TABLES


def _insulation(row: Row) -> _Item:
    """Parted by service, which stands for the material: what a service is insulated with is one thing."""
    thick = row.cells["thickness"]
    thickness = f"{mixed(thick)} in" if isinstance(thick, Fraction) else str(thick)
    text = f"insulation, {product(str(row.cells['what']))}, {thickness}"
    size, unit, service = (str(row.cells.get(key) or "") for key in ("size", "unit", "service"))
    return _Item(size, text, unit, service, _amount(row, "total"))


def _hanger(row: Row) -> _Item | None:
    if row.cells["hanger"] != "to buy":
        return None
    rod = row.cells["rod"]
    rod_text = f"{mixed(rod)} in" if isinstance(rod, Fraction) else str(rod)
    text = f"hanger, clevis {row.cells['clevis']}, rod {rod_text}"
    return _Item(str(row.cells["size"]), text, "pieces", "", _amount(row, "total"))


def _trace(row: Row) -> _Item | None:
    what, rating = str(row.cells["what"]), row.cells.get("rating")
    if what.startswith(TO_BUY):
        watts = f"{float(rating):g} W/ft" if isinstance(rating, int | float | Fraction) else f"rating {rating}"
        least = "the extra or the length of something on it is not known" if what != TO_BUY else ""
        return _Item("", f"heat trace, cable, {watts}", "ft", "", _amount(row, "total"), None, least)
    if what.startswith(_TRACE):
        return _Item("", f"heat trace, {what}", "pieces", "", _amount(row, "total"))
    return None


def _used_up(row: Row) -> _Item | None:
    """Rod, solder, flux by the pound; by the joint where the list does not know how much a joint takes."""
    if row.cells["what"] == "flanges":  # its gaskets are in the bill
        return None
    text, net, waste = str(row.cells["description"]), row.cells["net"], row.cells["extra"]
    if isinstance(net, int | float) and isinstance(waste, int | float):
        return _Item("", text, "lb", "", net, waste)
    return _Item("", text, "joints", "", _amount(row, "joints"))


def _glycol(row: Row) -> _Item | None:
    """What glycol a service takes; nothing where it carries water, or nobody says what."""
    glycol, spare, missing = (row.cells.get(key) for key in ("glycol", "extra", "missing"))
    fluid = str(row.cells["fluid"]).split(",")[0]
    if glycol is None or fluid == "not said":
        return None
    least = f"what {missing} parts hold is not in it" if missing else ""
    return _Item("", fluid, "gal", "", _amount(row, "glycol"), spare if isinstance(spare, int | float) else None, least)
