"""A purchase held against a bill: what is still to be ordered, what can go back, what is to be kept."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from ..model.size import find_size
from ..model.span import Origin, Span
from ..model.table import Column, Row, Table, Value
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
    _number("bought", "Bought"),
    _number("order", "To order", "needed - bought"),
    _UNIT,
)
_RETURN = (
    *_KEY,
    _number("bought", "Bought"),
    _number("needed", "Needed"),
    _number("return", "To return", "bought - needed"),
    _UNIT,
    Column("why", "Why"),
)
_RECEIVED = (
    *_KEY,
    _number("bought", "Bought"),
    _number("keep", "To keep"),
    _UNIT,
    Column("got", "Received", align="right", by_hand=True),
)
_NOT_READ = (Column("line", "Line", align="right"), Column("text", "As it stands"), Column("why", "Why"))

#: Lengths that a purchase may be in, in feet: the exact inch and metre (NIST SP 811, 2008, appendix B).
_FEET = {
    "ft": Fraction(1),
    "feet": Fraction(1),
    "foot": Fraction(1),
    "in": Fraction(1, 12),
    "m": Fraction(10000, 3048),
    "mm": Fraction(10, 3048),
}
_PIECES = frozenset({"pieces", "piece", "pcs", "pc", "each", "ea", "no", "nos", "sets", "set", ""})


@dataclass(slots=True)
class Need:
    """A row of the bill, what of it was bought, and the rows of the purchase behind that."""

    row: Row
    needed: float
    bought: float = 0.0
    spans: list[Span] = field(default_factory=list)

    def text(self, key: str) -> str:
        """A cell as text."""
        return str(self.row.cells.get(key) or "")


def against(bill: Table, purchase: Purchase) -> tuple[Table, ...]:
    """The lists `to-order`, `to-return`, `received`, and `bought-not-read` where rows of the purchase were not used.

    Needed is what the bill counts with its spares and waste. A row of the purchase belongs to the row of the bill of
    the same description, size, group and unit, as far as it says them; where several could be meant, it is not used.
    """
    needs = [Need(row, _needed(row)) for row in bill.rows]
    named: dict[str, list[Need]] = {}
    for need in needs:
        named.setdefault(_plain(need.text("description")), []).append(need)
    strangers: list[Bought] = []
    not_read = list(purchase.not_read)
    for one in purchase.rows:
        fits = [need for need in named.get(_plain(one.description), []) if _fits(one, need)]
        if len(fits) > 1:
            several = "; ".join(f"{need.text('group')} {need.text('size')}" for need in fits[:4])
            why = f"{len(fits)} rows of the bill are called so: say the group and size ({several})"
            not_read.append(NotRead(_told(one), why, one.span))
        elif not fits:
            strangers.append(one)
        else:
            fits[0].bought += one.quantity * float(_factor(one, fits[0]))
            fits[0].spans.append(one.span)
    lists = [_to_order(needs), _to_return(needs, strangers), _received(needs, purchase)]
    return (*lists, _left(not_read)) if not_read else tuple(lists)


def _needed(row: Row) -> float:
    parts = (row.cells.get("total"), row.cells.get("extra"))
    return sum(float(value) for value in parts if isinstance(value, int | float | Fraction))


def _fits(one: Bought, need: Need) -> bool:
    if one.group and _plain(one.group) != _plain(need.text("group")):
        return False
    if one.size and _size(one.size) != _size(need.text("size")):
        return False
    return bool(_factor(one, need))


def _factor(one: Bought, need: Need) -> Fraction:
    """How many of the bill's unit one of the purchase's unit is; 0 if it is of another sort."""
    ours, theirs = need.text("unit"), _plain(one.unit).rstrip(".")
    if not theirs or theirs == ours:
        return Fraction(1)
    if ours in _FEET:
        return _FEET.get(theirs, Fraction(0)) / _FEET[ours]
    return Fraction(1) if ours in _PIECES and theirs in _PIECES else Fraction(0)


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


def _cells(need: Need) -> dict[str, Value]:
    return {key: need.row.cells.get(key) for key in ("group", "size", "description", "unit")}


def _origin(need: Need) -> Origin:
    return (*need.row.origin, *need.spans)


def _short(value: float) -> float:
    value = round(value, 2)
    return int(value) if value == int(value) else value


def _to_order(needs: Sequence[Need]) -> Table:
    rows = [
        Row(
            {
                **_cells(need),
                "needed": _short(need.needed),
                "bought": _short(need.bought),
                "order": _short(_short(need.needed) - _short(need.bought)),
            },
            _origin(need),
            "the bill with spares and waste, less what was bought",
        )
        for need in needs
        if _short(need.needed) > _short(need.bought)
    ]
    return Table("to-order", "Still to order", _ORDER, tuple(rows), () if rows else ("All that is needed is bought.",))


def _to_return(needs: Sequence[Need], strangers: Sequence[Bought]) -> Table:
    rows = [
        Row(
            {
                **_cells(need),
                "needed": _short(need.needed),
                "bought": _short(need.bought),
                "return": _short(_short(need.bought) - _short(need.needed)),
                "why": "more was bought than is needed",
            },
            _origin(need),
            "what was bought, less the bill with spares and waste",
        )
        for need in needs
        if _short(need.bought) > _short(need.needed)
    ]
    for one in strangers:
        cells: dict[str, Value] = {"group": one.group, "size": one.size, "description": one.description}
        cells.update(unit=one.unit, bought=_short(one.quantity), needed=0)
        cells["return"] = _short(one.quantity)
        cells["why"] = "nothing in the bill is called so, of this size and counted so"
        rows.append(Row(cells, (one.span,), "no row of the bill has this description, size, group and unit"))
    return Table("to-return", "Not needed, or more than needed", _RETURN, tuple(rows))


def _received(needs: Sequence[Need], purchase: Purchase) -> Table:
    rows = [
        Row(
            {
                **_cells(need),
                "bought": _short(need.bought),
                "keep": _short(min(_short(need.bought), _short(need.needed))),
            },
            _origin(need),
            "what was bought and the bill has",
        )
        for need in needs
        if need.spans
    ]
    notes = ["To be checked off as it comes in; what is of no use is in the list of what can go back."]
    if purchase.missing:
        notes.append(f"The purchase has no column {', '.join(purchase.missing)}: rows are told apart by the others.")
    return Table("received", "Bought and needed", _RECEIVED, tuple(rows), tuple(notes))


def _left(rows: Sequence[NotRead]) -> Table:
    made = [
        Row(
            {"line": one.span.line, "text": one.text, "why": one.why},
            (one.span,),
            "this row of the purchase is not used",
        )
        for one in sorted(rows, key=lambda one: one.span)
    ]
    return Table("bought-not-read", "Rows of the purchase that are in no list", _NOT_READ, tuple(made))


def _told(one: Bought) -> str:
    return ", ".join(part for part in (one.group, one.size, one.description, f"{one.quantity:g}", one.unit) if part)
