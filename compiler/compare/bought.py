"""A purchase held against a bill: what is still to be ordered, what can go back, what is to be kept."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from ..model.size import find_size
from ..model.span import Origin, Span
from ..model.table import Column, Row, Table, Value
from ..takeoff.bill import product
from ..takeoff.packs import with_packs
from .buying import Buying, Plan, Shop, buying, factor
from .read_bought import Bought, NotRead, Purchase

_KEY = (
    Column("group", "Group"),
    Column("size", "Size"),
    Column("description", "Description"),
)
_UNIT = Column("unit", "Unit")


def _number(key: str, title: str, formula: str = "") -> Column:
    return Column(key, title, align="right", formula=formula)


_ORDER = (
    *_KEY,
    _number("needed", "Needed"),
    _number("on_hand", "On hand"),
    _number("bought", "Bought"),
    _number("order", "To order", "needed - on_hand - bought"),
    _UNIT,
)
_RETURN = (
    *_KEY,
    _number("bought", "Bought"),
    _number("needed", "Needed"),
    _number("keep", "To keep"),
    _number("return", "To return", "bought - keep"),
    _UNIT,
    Column("why", "Why"),
)
_RECEIVED = (
    *_KEY,
    _number("bought", "Bought"),
    _number("keep", "To keep"),
    _number("over", "Of that over"),
    _UNIT,
    Column("in", "Because it comes in"),
    Column("got", "Received", align="right", by_hand=True),
)
_NOT_READ = (Column("line", "Line", align="right"), Column("as_is", "As it stands"), Column("why", "Why"))


@dataclass(slots=True)
class Need:
    """One thing of the bill, how it is bought, what of it was bought, and the rows of the purchase behind that.

    `by_centres`: feet of it that no plan of cut lengths takes in; `plan`: what the plan makes of the others.
    """

    cells: dict[str, Value]
    how: Buying = field(default_factory=Buying)
    plan: Plan = field(default_factory=Plan)
    needed: float = 0.0
    by_centres: float = 0.0
    bought: float = 0.0
    origin: dict[Span, None] = field(default_factory=dict)
    spans: list[Span] = field(default_factory=list)

    def text(self, key: str) -> str:
        """A cell as text."""
        return str(self.cells.get(key) or "")

    @property
    def on_hand(self) -> float:
        """What of the need is cut from lengths that are on hand."""
        return _short(min(self.plan.on_hand, self.needed))

    @property
    def short(self) -> float:
        """What is still to be ordered."""
        return max(0, _short(_short(self.needed) - self.on_hand - _short(self.bought)))

    @property
    def keep(self) -> float:
        """What is kept of what was bought: as much as whole boxes or whole lengths make of the need."""
        most = max(self.how.whole(self.needed - self.on_hand), self.plan.bought + self.how.whole(self.by_centres))
        return _short(min(self.bought, most))


def against(
    bill: Table, purchase: Purchase, shop: Shop | None = None, beside: Table | None = None
) -> tuple[Table, ...]:
    """The lists `to-order`, `to-return`, `received`, and `bought-not-read` where rows of the purchase were not used.

    Needed is what the bill counts with its spares and waste; pipe of one size and material is one need, as cut and
    centre to centre together. A row of the purchase belongs to the need of the same description, size, group and
    unit, as far as it says them; where several could be meant, it is not used. `beside` is what other lists have to
    buy: it counts as far as the purchase names it, since others may buy the rest.
    """
    rows = (*bill.rows, *(beside.rows if beside is not None else ()))
    needs = _needs(rows, Shop() if shop is None else shop)
    named: dict[str, list[Need]] = {}
    for need in needs:
        named.setdefault(_plain(need.text("description")), []).append(need)
    strangers: list[Bought] = []
    not_read = list(purchase.not_read)
    for one in purchase.rows:
        fits = [need for need in named.get(product(_plain(one.description)), []) if _is_for(one, need)]
        each = {id(need): factor(one.unit, need.text("unit"), need.how) for need in fits}
        counted = [need for need in fits if not isinstance(each[id(need)], str)]
        if len(counted) > 1:
            several = "; ".join(f"{need.text('group')} {need.text('size')}" for need in counted[:4])
            why = f"{len(counted)} rows of the bill are called so: say the group and size ({several})"
            not_read.append(NotRead(_told(one), why, one.span))
        elif counted:
            counted[0].bought += one.quantity * float(each[id(counted[0])])
            counted[0].spans.append(one.span)
        elif fits:
            not_read.append(NotRead(_told(one), str(each[id(fits[0])]), one.span))
        else:
            strangers.append(one)
    in_bill = {str(row.cells.get("group") or "") for row in bill.rows}
    to_order = [need for need in needs if need.spans or need.text("group") in in_bill]
    lists = [_to_order(to_order), _to_return(needs, strangers), _received(needs, purchase)]
    return (*lists, _left(not_read)) if not_read else tuple(lists)


def _needs(rows: Sequence[Row], shop: Shop) -> list[Need]:
    """What is needed, in the order of the bill."""
    made: dict[tuple[str, ...], Need] = {}
    for row in rows:
        group, size, text, unit = (str(row.cells.get(key) or "") for key in ("group", "size", "description", "unit"))
        name = product(text) if group == "pipe" else text
        key = (group, size, name, unit)
        if key not in made:
            cells: dict[str, Value] = {"group": group, "size": size, "description": name, "unit": unit}
            made[key] = Need(cells, buying(shop, group, name, unit), shop.plans.get((size, name), Plan()))
        amount = _needed(row)
        made[key].needed += amount
        made[key].by_centres += amount if name != text else 0.0
        made[key].origin.update(dict.fromkeys(row.origin))
    return list(made.values())


def _needed(row: Row) -> float:
    parts = (row.cells.get("total"), row.cells.get("extra"))
    return sum(float(value) for value in parts if isinstance(value, int | float | Fraction))


def _is_for(one: Bought, need: Need) -> bool:
    if one.group and _plain(one.group) != _plain(need.text("group")):
        return False
    return not one.size or _size(one.size) == _size(need.text("size"))


def _size(text: str) -> tuple[object, ...]:
    """A nominal size however it is written: `2-1/2`, `2 1/2 in`, `DN 65`."""
    parts = [part.strip() for part in re.split(r"\s*[x×]\s*", text.casefold())]
    cleaned = [re.sub(r'\s*(?:in|")$', "", part.removeprefix("nps").strip()) for part in parts]
    found = []
    for part in cleaned:
        part = re.sub(r"^dn\s*", "dn ", re.sub(r"^(\d+)\s+(\d+/\d+)$", r"\1-\2", part))
        size = find_size(part.upper() if part.startswith("dn") else part)
        found.append(size if size is not None else part)
    return tuple(found)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _origin(need: Need) -> Origin:
    return (*need.origin, *need.spans)


def _short(value: float) -> float:
    value = round(value, 2)
    return int(value) if value == int(value) else value


def _to_order(needs: Sequence[Need]) -> Table:
    rows = []
    for need in needs:
        if need.short:
            cells = {**need.cells, "needed": _short(need.needed), "bought": _short(need.bought), "order": need.short}
            if need.on_hand:
                cells["on_hand"] = need.on_hand
            if need.how.amounts:
                cells |= {"packs": need.how.packs(need.short), "packed": str(need.how)}
            rows.append(Row(cells, _origin(need), "the bill with spares and waste, less what was bought"))
    columns = with_packs(_ORDER, rows)
    return Table("to-order", "Still to order", columns, tuple(rows), () if rows else ("All that is needed is bought.",))


def _to_return(needs: Sequence[Need], strangers: Sequence[Bought]) -> Table:
    rows = []
    for need in needs:
        bought, keep = _short(need.bought), need.keep
        if bought > keep:
            cells = {**need.cells, "needed": _short(need.needed), "bought": bought, "keep": keep}
            cells["return"] = _short(bought - keep)
            cells["why"] = "more was bought than is needed" + (f", in {need.how}" if need.how.amounts else "")
            rows.append(Row(cells, _origin(need), "what was bought, less the bill with spares and waste"))
    for one in strangers:
        cells = {"group": one.group, "size": one.size, "description": one.description}
        cells.update(unit=one.unit, bought=_short(one.quantity), needed=0, keep=0)
        cells["return"] = _short(one.quantity)
        cells["why"] = "no list has anything to buy that is called so, of this size"
        rows.append(Row(cells, (one.span,), "no row of the bill has this description, size and group"))
    return Table("to-return", "Not needed, or more than needed", _RETURN, tuple(rows))


def _received(needs: Sequence[Need], purchase: Purchase) -> Table:
    rows = []
    for need in needs:
        if need.spans:
            cells = {**need.cells, "bought": _short(need.bought), "keep": need.keep}
            over = _short(need.keep + need.on_hand - _short(need.needed))
            if over > 0:
                cells |= {"over": over, "in": str(need.how)}
            rows.append(Row(cells, _origin(need), "what was bought and the bill has"))
    notes = ["To be checked off as it comes in; what is of no use is in the list of what can go back."]
    if any("over" in row.cells for row in rows):
        notes.append("Over: kept beyond what is needed, since it comes in whole lengths or boxes; it does not go back.")
    if purchase.missing:
        notes.append(f"The purchase has no column {', '.join(purchase.missing)}: rows are told apart by the others.")
    return Table("received", "Bought and needed", _RECEIVED, tuple(rows), tuple(notes))


def _left(rows: Sequence[NotRead]) -> Table:
    made = [
        Row(
            {"line": one.span.line, "as_is": one.text, "why": one.why},
            (one.span,),
            "this row of the purchase is not used",
        )
        for one in sorted(rows, key=lambda one: one.span)
    ]
    return Table("bought-not-read", "Rows of the purchase that are in no list", _NOT_READ, tuple(made))


def _told(one: Bought) -> str:
    return ", ".join(part for part in (one.group, one.size, one.description, f"{one.quantity:g}", one.unit) if part)
