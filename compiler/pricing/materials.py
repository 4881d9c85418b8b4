"""Material: every row of the bill, and what insulation, hangers and heat trace take, with its price."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction

from ..model.span import Origin, Span
from ..model.table import NO_PRICE, Column, Row, Table, Unknown, Value
from ..takeoff.bill import items, place_of
from ..takeoff.flanged import mixed
from ..takeoff.hangers import hangers
from ..takeoff.heat_trace import heat_trace
from ..takeoff.insulation import insulation
from ..takeoff.job import Job
from ..takeoff.spares import extras
from ..takeoff.tally import trimmed
from .book import Entry
from .books import Books, NotFound
from .cents import ROUNDING, exact, rounded, shared
from .keys import name_key, size_key
from .parts import NO_LINE, SPARES, Part, Share, column_of_money, money, per_cell, sum_note

#: What of the heat trace list is bought, by how it begins.
_TRACE = ("cable", "power connections", "tee splices", "end seals")


@dataclass(slots=True)
class _Counted:
    """One row of `costs` before it is priced."""

    group: str
    size: str
    description: str
    unit: str
    spec: str
    trade: str
    quantity: float | Unknown = 0.0
    extra: float | None = None
    spec_shown: bool = True  # the row of the bill is parted by spec
    shares: list[Share] = field(default_factory=list)
    origin: dict[Span, None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Missing:
    """Something without a price or hours: its row, and why."""

    cells: dict[str, Value]
    origin: Origin
    why: str


@dataclass(frozen=True, slots=True)
class Priced:
    """The list, its parts, what found nothing, and the sum."""

    table: Table
    parts: tuple[Part, ...]
    missing: tuple[Missing, ...]
    total: Decimal


def costs(job: Job, books: Books) -> Priced:
    """Price everything that is bought. Raises nothing because of what the books hold."""
    rows, parts, missing, total = [], list[Part](), list[Missing](), Decimal(0)
    for number, one in enumerate(_in_rows(job), 1):
        key = (name_key(one.description), size_key(one.size), name_key(one.spec), one.unit)
        found = books.prices.find(key)
        cells: dict[str, Value] = {
            "item": number,
            "group": one.group,
            "size": one.size,
            "description": one.description,
            "spec": one.spec if one.spec_shown else None,
            "quantity": one.quantity,
            "extra": one.extra,
            "unit": one.unit,
        }
        known = isinstance(found, Entry) and not isinstance(one.quantity, Unknown)
        if known and isinstance(found, Entry) and not isinstance(one.quantity, Unknown):
            net = rounded(exact(one.quantity) * found.each)
            spare = rounded(exact(one.extra) * found.each) if one.extra else Decimal(0)
            total += net + spare
            cells |= {
                "price": float(found.value),
                "per": per_cell(found.per, one.unit),
                "net": money(net),
                "cost": money(net + spare),
            }
            cells |= {"spare": money(spare) if one.extra else None}
            if not one.shares:  # the list parts it otherwise for one hookup than for all
                parts.append(Part((), NO_LINE, one.trade, "material", one.group, material=net))
            amounts = shared(net, [share.weight for share in one.shares])
            for share, amount in zip(one.shares, amounts, strict=True):
                parts.append(
                    Part(share.hookup.units, share.line or NO_LINE, one.trade, "material", one.group, material=amount)
                )
            if spare:
                parts.append(Part((), SPARES, one.trade, "material", one.group, material=spare))
        else:
            cells |= {"price": NO_PRICE, "net": NO_PRICE, "cost": NO_PRICE}
            why = found.why if isinstance(found, NotFound) else "the quantity is not known"
            missing.append(Missing({**cells, "list": "costs", "what": one.description}, tuple(one.origin), why))
            for share in one.shares:
                parts.append(
                    Part(share.hookup.units, share.line or NO_LINE, one.trade, "material", one.group, missing=True)
                )
        rows.append(Row(cells, tuple(one.origin), found.place if isinstance(found, Entry) else found.why))
    notes = (*books.notes, sum_note("Material with spares", total, books.currency, len(missing)), *_notes(books))
    return Priced(
        Table("costs", "Material costs", _columns(books.currency), tuple(rows), notes),
        tuple(parts),
        tuple(missing),
        total,
    )


def _columns(currency: str) -> tuple[Column, ...]:
    return (
        Column("item", "Item", align="right"),
        Column("group", "Group"),
        Column("size", "Size"),
        Column("description", "Description"),
        Column("spec", "Spec"),
        Column("quantity", "Quantity", align="right"),
        Column("extra", "Spare or waste", align="right"),
        Column("unit", "Unit"),
        column_of_money("price", "Price", currency),
        Column("per", "Per"),
        column_of_money("net", "Net", currency, True, "quantity * price"),
        column_of_money("spare", "Spares", currency, True, "extra * price"),
        column_of_money("cost", "Cost", currency, True, "net + spare"),
    )


def _notes(books: Books) -> tuple[str, ...]:
    said = "" if books.currency else " The books do not say what money they are in."
    return (
        f"{ROUNDING}{said}",
        "Packs, taxes, freight and discounts are not in it; coils and mains are not bought here.",
    )


def _in_rows(job: Job) -> Iterator[_Counted]:
    yield from _of_bill(job)
    yield from _of_list(job, insulation, "insulation", _insulation)
    yield from _of_list(job, hangers, "pipe", _hanger)
    yield from _of_list(job, heat_trace, "electrical trace", _trace)


def _of_bill(job: Job) -> Iterator[_Counted]:
    """The rows of the bill, each parted by spec, in its order."""
    rows: dict[tuple[str, ...], dict[str, _Counted]] = {}
    for one in items(job):
        line = one.hookup.lines.get(one.line)
        spec = line.spec.name if line is not None else ""
        group, size, text, _, unit = one.key
        made = rows.setdefault(one.key, {}).setdefault(spec, _Counted(group, size, text, unit, spec, "pipe"))
        weight = one.number * len(one.hookup.units)
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
    more = extras({key: sum(whole) for key, whole in sums.items()}, job.settings)
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


def _of_list(
    job: Job, make: Callable[[Job], Table], trade: str, read: Callable[[Row], tuple[str, str, str] | None]
) -> Iterator[_Counted]:
    """The rows of another list; whose they are is found by making it for each hookup alone."""
    rows: dict[tuple[str, ...], _Counted] = {}
    group = make.__name__.replace("_", " ")
    for row in make(job).rows:
        said = read(row)
        total = row.cells.get("total")
        if said is None:
            continue
        made = rows.setdefault(said, _Counted(group, said[0], said[1], said[2], "", trade))
        made.origin.update(dict.fromkeys(row.origin))
        if isinstance(total, int | float) and not isinstance(made.quantity, Unknown):
            made.quantity = trimmed(made.quantity + total)
        elif isinstance(total, Unknown):
            made.quantity = total
    for hookup in job.hookups if rows else ():
        for row in make(replace(job, hookups=[hookup])).rows:
            said, total = read(row), row.cells.get("total")
            if said is not None and said in rows:
                weight = float(total) if isinstance(total, int | float) else 0.0
                rows[said].shares.append(Share(hookup, "", weight))
    yield from rows.values()


def _insulation(row: Row) -> tuple[str, str, str]:
    thick = row.cells["thickness"]
    text = f"{mixed(thick)} in" if isinstance(thick, Fraction) else str(thick)
    return str(row.cells.get("size") or ""), f"insulation, {row.cells['what']}, {text}", str(row.cells["unit"])


def _hanger(row: Row) -> tuple[str, str, str] | None:
    if row.cells["hanger"] != "to buy":
        return None
    rod = row.cells["rod"]
    rod_text = f"{mixed(rod)} in" if isinstance(rod, Fraction) else str(rod)
    return str(row.cells["size"]), f"hanger, clevis {row.cells['clevis']}, rod {rod_text}", "pieces"


def _trace(row: Row) -> tuple[str, str, str] | None:
    what = str(row.cells["what"])
    if not what.startswith(_TRACE):
        return None
    rating = row.cells.get("rating")
    text = f", {rating:g} W/ft" if isinstance(rating, int | float) else f", rating {rating}" if rating else ""
    return str(row.cells.get("size") or ""), f"heat trace, {what}{text}", str(row.cells["unit"])
