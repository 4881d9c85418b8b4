"""What a job comes to in parts: each a share of a row of `costs` or `hours`, with its units and its line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ..model.hookup import Hookup, UnitRef
from ..model.table import Column, Value

SPARES = "spares and waste"
NO_LINE = "not by line"
PIPE, INSULATION, TRACE = "pipe", "insulation", "electrical trace"
#: The trades, in the order of a summary.
TRADES = (PIPE, INSULATION, TRACE)
_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Part:
    """`units`: empty for what belongs to the whole job. `missing`: of a row without a price or hours."""

    units: Sequence[UnitRef]
    line: str
    trade: str
    phase: str
    what: str  # group of the bill, or operation
    material: Decimal = _ZERO
    hours: Decimal = _ZERO
    labour: Decimal = _ZERO
    missing: bool = False

    @property
    def worth(self) -> bool:
        """Whether anything of it has a price."""
        return bool(self.material or self.labour)


@dataclass(frozen=True, slots=True)
class Share:
    """How much of a row is of one hookup and line, all units together."""

    hookup: Hookup
    line: str
    weight: float


def money(value: Decimal) -> Value:
    """An amount as a cell."""
    return float(value)


def per_cell(per: str, unit: str) -> Value:
    """What a price is for, where the row's unit does not say it, or does not when the list is printed in metric."""
    return per if per != unit or unit in ("ft", "lb", "gal") else None


def scale_cell(scale: Fraction) -> Value:
    """For how many of the row's unit a price or hours are: 100 where the book says `100 ft`."""
    return int(scale) if scale.denominator == 1 else float(scale)


def column_of_money(key: str, title: str, currency: str, adds_up: bool = False, formula: str = "") -> Column:
    """A column of money, headed by the currency of the books."""
    return Column(key, title, currency, "right", adds_up=adds_up, formula=formula)


def sum_note(what: str, amount: Decimal, unit: str, missing: int) -> str:
    """The sum in words: `at least` where something of it is missing."""
    said = f"{amount:,.2f} {unit}".strip()
    if not missing:
        return f"{what}: {said}."
    rows = "1 row has" if missing == 1 else f"{missing} rows have"
    return f"{what}: at least {said}; {rows} no price, no hours or no known quantity (`no-price`)."
