"""What a job comes to by unit, line, trade and phase; what found no price; what the books could not tell."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from ..model.table import NO_PRICE, Column, Row, Table, Value
from ..takeoff.job import Job
from ..takeoff.tally import units_text
from .books import Books
from .labour import Choice, hours
from .materials import Priced, costs
from .parts import NO_LINE, SPARES, TRADES, Part, column_of_money, money

_ALL_UNITS = "all units"


@dataclass(frozen=True, slots=True)
class Offer:
    """A job with its prices: the lists by name, and the parts they are made of."""

    tables: dict[str, Table]
    parts: tuple[Part, ...]
    currency: str
    missing: int
    remarks: tuple[str, ...]


def offer(job: Job, books: Books, chosen: Sequence[Choice] = ()) -> Offer:
    """Price a job."""
    material, labour = costs(job, books), hours(job, books, chosen)
    parts = (*material.parts, *labour.parts)
    tables = {
        "costs": material.table,
        "hours": labour.table,
        "cost-summary": _summary(job, parts, books),
        "no-price": _no_price(material, labour, books.notes),
        "book-problems": _problems(books),
    }
    return Offer(tables, parts, books.currency, len(material.missing) + len(labour.missing), books.notes)


def _sections(job: Job) -> tuple[tuple[str, Callable[[Part], tuple[str, int]], Sequence[str]], ...]:
    """How the parts are grouped: by what, the name and the units of a part's group, and the names in their order.

    Units and lines in the order of the file, a supply before its return; what is of no one of them comes last.
    """

    def unit_of(part: Part) -> tuple[str, int]:
        if part.units:
            return units_text(part.units), len(part.units)
        return (SPARES if part.line == SPARES else _ALL_UNITS), 0

    lines = [name for hookup in job.hookups for name in hookup.lines]
    units = [units_text(hookup.units) for hookup in job.hookups]
    return (
        ("all", lambda part: ("the whole job", 0), ()),
        ("unit", unit_of, (*units, _ALL_UNITS, SPARES)),
        ("line", lambda part: (part.line, 0), (*_in_pairs(lines), NO_LINE, SPARES)),
        ("trade", lambda part: (part.trade, 0), TRADES),
        ("phase", lambda part: (part.phase, 0), ("material", "shop", "field")),
    )


def _in_pairs(lines: Sequence[str]) -> list[str]:
    """Lines by what they lead to or come from, in the order of the file, a supply before its return."""
    ends = [line.split(" ", 2)[-1] for line in lines]
    return sorted(
        dict.fromkeys(lines), key=lambda line: (ends.index(line.split(" ", 2)[-1]), line.startswith("return"))
    )


def _summary(job: Job, parts: Sequence[Part], books: Books) -> Table:
    rows = []
    for section, of, order in _sections(job):
        groups: dict[tuple[str, int], list[Part]] = {}
        for part in parts:
            groups.setdefault(of(part), []).append(part)
        place = {name: at for at, name in reversed(list(enumerate(order)))}
        for (name, count), some in sorted(groups.items(), key=lambda item: place.get(item[0][0], len(order))):
            sums = added(some)
            known = "at least" if any(part.missing for part in some) else "in full"
            cells: dict[str, Value] = {"by": section, "name": name, "count": count or None, "known": known}
            cells |= {key: money(value) for key, value in sums.items()}
            rows.append(Row(cells, ()))
    columns = (
        Column("by", "By"),
        Column("name", "Of"),
        Column("count", "Units", align="right"),
        Column("known", "Is"),
        column_of_money("material", "Material", books.currency),
        Column("hours", "Hours", "h", "right"),
        column_of_money("labour", "Labour", books.currency),
        column_of_money("total", "Total", books.currency, formula="material + labour"),
    )
    notes = (
        *books.notes,
        "Units built alike stand in one row. Each row of `costs` and `hours` is shared out in hundredths by count or "
        "length, so that the rows of one kind add up to the whole job.",
        "At least: something of it found no price or no hours, or is not measured; the list `no-price` names it.",
    )
    return Table("cost-summary", "Cost summary", columns, tuple(rows), notes)


def added(parts: Sequence[Part]) -> dict[str, Decimal]:
    """Material, hours, labour and total of some parts."""
    material = sum((part.material for part in parts), Decimal(0))
    labour = sum((part.labour for part in parts), Decimal(0))
    spent = sum((part.hours for part in parts), Decimal(0))
    return {"material": material, "hours": spent, "labour": labour, "total": material + labour}


def _no_price(material: Priced, labour: Priced, notes: tuple[str, ...]) -> Table:
    columns = (
        Column("list", "List"),
        Column("what", "Item or operation"),
        Column("size", "Size"),
        Column("more", "Spec or detail"),
        Column("where", "Shop or field"),
        Column("quantity", "Quantity", align="right"),
        Column("unit", "Unit"),
        Column("why", "Why"),
    )
    rows = [
        Row(
            {**one.cells, "more": one.cells.get("spec") or one.cells.get("detail"), "why": one.why}, one.origin, one.why
        )
        for one in (*material.missing, *labour.missing)
    ]
    return Table("no-price", "Without a price or hours", columns, tuple(rows), notes)


def _problems(books: Books) -> Table:
    columns = (
        Column("book", "Book"),
        Column("sheet", "Sheet"),
        Column("row", "Row", align="right"),
        Column("column", "Column"),
        Column("used", "Lost"),
        Column("what", "What"),
    )
    rows = [
        Row(
            {
                "book": one.book,
                "sheet": one.sheet,
                "row": one.row or None,
                "column": one.column,
                "used": "yes" if one.grave else "no",
                "what": one.what,
            },
            (),
        )
        for one in books.problems
    ]
    return Table("book-problems", "What of the books is not used as it stands", columns, tuple(rows), books.notes)


def alternates(drawn: Offer, instead: Offer, name: str) -> Table:
    """Two ways of building one job side by side, by group and operation, and in all."""
    return side_by_side("alternates", "Alternates side by side", (drawn, "As the file has it"), (instead, name))


def price_changes(old: Offer, new: Offer) -> Table:
    """Two states of a job side by side, by group and operation, and in all."""
    return side_by_side("price-changes", "What that does to the price", (old, "Was"), (new, "Now"))


def side_by_side(name: str, title: str, first: tuple[Offer, str], second: tuple[Offer, str]) -> Table:
    """Two offers and their difference, each under its heading."""
    (drawn, drawn_title), (instead, instead_title) = first, second
    money_columns = [
        column_of_money("drawn", drawn_title, drawn.currency),
        column_of_money("instead", instead_title, drawn.currency),
        column_of_money("difference", "Difference", drawn.currency, formula="instead - drawn"),
    ]
    columns = (Column("what", "What"), *money_columns, Column("known", "Is"))
    rows = []
    whats = dict.fromkeys(part.what for one in (drawn, instead) for part in one.parts)
    for what in (*whats, "total"):
        two = [[part for part in one.parts if what in ("total", part.what)] for one in (drawn, instead)]
        before, after = (added(parts)["total"] for parts in two)
        known = "at least" if any(part.missing for parts in two for part in parts) else "in full"
        cells: dict[str, Value] = {"what": what, "known": known}
        cells |= {"drawn": _side(two[0], before), "instead": _side(two[1], after)}
        cells["difference"] = money(after - before) if known == "in full" else "not known in full"
        rows.append(Row(cells, ()))
    note = (
        "A side that has no such thing costs 0 of it. A difference is given where both sides are priced in full; "
        "`no-price` of each says what is missing."
    )
    return Table(name, title, columns, tuple(rows), (*drawn.remarks, note))


def _side(parts: Sequence[Part], amount: Decimal) -> Value:
    """What one side costs: no price where there is something and none of it is priced."""
    return NO_PRICE if parts and all(part.missing and not part.worth for part in parts) else money(amount)
