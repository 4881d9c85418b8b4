"""Material: every row of the bill, and what insulation, hangers, heat trace, joints and glycol take, with its price."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..model.hookup import with_number
from ..model.span import Origin
from ..model.table import NO_PRICE, Column, Row, Table, Unknown, Value
from ..takeoff.bill import UNMEASURED
from ..takeoff.job import Job
from ..takeoff.tally import in_order
from .book import Entry
from .books import Books, NotFound
from .cents import ROUNDING, exact, rounded, shared
from .counted import counted
from .keys import name_key, size_key
from .parts import NO_LINE, SPARES, Part, column_of_money, money, per_cell, scale_cell, sum_note

#: So many names of coils are in a note; more are counted.
_NAMED = 6


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
    for number, one in enumerate(counted(job), 1):
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
                "scale": scale_cell(found.scale),
                "net": money(net),
                "cost": money(net + spare),
            }
            cells |= {"spare": money(spare) if one.extra else None}
            if one.least:
                why = f"priced, but the quantity is the least: {one.least}"
                missing.append(Missing({**cells, "list": "costs", "what": one.description}, tuple(one.origin), why))
            if not one.shares:  # the list parts it otherwise for one hookup than for all
                parts.append(Part((), NO_LINE, one.trade, "material", one.group, material=net))
            amounts = shared(net, [share.weight for share in one.shares])
            for share, amount in zip(one.shares, amounts, strict=True):
                parts.append(
                    Part(
                        share.hookup.units,
                        share.line or NO_LINE,
                        one.trade,
                        "material",
                        one.group,
                        material=amount,
                        missing=bool(one.least),
                    )
                )
            if spare:
                parts.append(Part((), SPARES, one.trade, "material", one.group, material=spare))
        else:
            cells |= {"price": NO_PRICE, "net": NO_PRICE, "cost": NO_PRICE}
            why = _why(one.description, found)
            missing.append(Missing({**cells, "list": "costs", "what": one.description}, tuple(one.origin), why))
            for share in one.shares:
                parts.append(
                    Part(share.hookup.units, share.line or NO_LINE, one.trade, "material", one.group, missing=True)
                )
        rows.append(
            Row(cells, tuple(one.origin), found.place if isinstance(found, Entry) else _why(one.description, found))
        )
    notes = (*books.notes, sum_note("Material with spares", total, books.currency, len(missing)), *_notes(job, books))
    return Priced(
        Table("costs", "Material costs", _columns(books.currency), tuple(rows), notes),
        tuple(parts),
        tuple(missing),
        total,
    )


def _why(description: str, found: Entry | NotFound) -> str:
    """What there is no price for: no book can price a piece by a length that nobody knows."""
    if UNMEASURED in description:
        return UNMEASURED.removeprefix(", ")
    return found.why if isinstance(found, NotFound) else "the quantity is not known"


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
        Column("scale", "Price is for", align="right", data_only=True),
        column_of_money("net", "Net", currency, True, "quantity * price / scale"),
        column_of_money("spare", "Spares", currency, True, "extra * price / scale"),
        column_of_money("cost", "Cost", currency, True, "net + spare"),
    )


def _notes(job: Job, books: Books) -> tuple[str, ...]:
    said = "" if books.currency else " The books do not say what money they are in."
    return (
        f"{ROUNDING}{said}",
        "Rod, solder, flux and glycol are counted as their lists count them; where a list does not know how much a "
        "joint takes, as of sealant, the joints are counted, to be priced by the joint.",
        f"Packs, taxes, freight and discounts are not in it. Not bought here: {_left_out(job)}, and water.",
    )


def _left_out(job: Job) -> str:
    """The coils of all units and the mains, by name."""
    coils = [with_number(tag, unit.number) for hookup in job.hookups for unit in hookup.units for tag in hookup.coils]
    mains = {c.tag for hookup in job.hookups for c in hookup.components() if c.kind.ports == "main"}
    said = []
    for what, names in (("coil", in_order(coils)), ("main", in_order(list(mains)))):
        more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        said.append(f"{len(names)} {what}{'' if len(names) == 1 else 's'} ({', '.join(names[:_NAMED])}{more})")
    return ", ".join(said)
