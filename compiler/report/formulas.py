"""Formulas of a workbook: written only where they give the number that the list itself says."""

from __future__ import annotations

import operator
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from ..model.table import Value

#: Decimals to which a list may have rounded what its formula gives.
_ROUNDED_TO = (2, 3, 1, 0, 4)
_NEAR = Fraction(1, 10**9)
_CALCULATED = {"+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv}


def formula(text: str, cells: Mapping[str, Value], places: Mapping[str, str]) -> str | None:
    """A column's formula for one row, with `places` (`F5`) for keys, or None where it does not give the row's number.

    `text` is `KEY = KEY + KEY`, all signs of one kind: `+` and `-`, or `*` and `/`. A number that the list has
    rounded gets its `ROUND`; an empty cell counts as 0 in a sum, as it does in a spreadsheet, and makes a product
    unknown.

    >>> formula("buy = total + extra", {"total": 10, "extra": 1, "buy": 11}, {"total": "E5", "extra": "F5"})
    '=E5+F5'
    >>> formula("sum = count * price", {"count": 3, "price": 0.115, "sum": 0.35}, {"count": "E5", "price": "F5"})
    '=ROUND(E5*F5,2)'
    >>> formula("sum = count * price / per", {"count": 30, "price": 7, "per": 100, "sum": 2.1},
    ...         {"count": "E5", "price": "F5", "per": "G5"})
    '=E5*F5/G5'
    >>> formula("sum = count * price", {"count": 3, "price": None, "sum": 0}, {"count": "E5", "price": "F5"})
    """
    to, _, rest = text.partition(" = ")
    first, *others = rest.split(" ")
    signs, keys = others[0::2], [first, *others[1::2]]
    said = _exact(cells.get(to))
    values = [_exact(cells.get(key)) for key in keys]
    if any(key not in places for key in keys):
        return None
    if not {"*", "/"} & set(signs):
        values = [Fraction(0) if cells.get(key) is None else value for key, value in zip(keys, values, strict=True)]
    known = [value for value in values if value is not None]
    if said is None or len(known) < len(values):
        return None
    if any(sign == "/" and not number for sign, number in zip(signs, known[1:], strict=True)):
        return None
    gives = known[0]
    for sign, number in zip(signs, known[1:], strict=True):
        gives = _CALCULATED[sign](gives, number)
    written = places[first] + "".join(s + places[k] for s, k in zip(signs, keys[1:], strict=True))
    if _near(gives, said):
        return f"={written}"
    for digits in _ROUNDED_TO:
        if _near(_rounded(gives, digits), said):
            return f"=ROUND({written},{digits})"
    return None


def _exact(value: Value) -> Fraction | None:
    """A number as it is read: 0.1 is a tenth."""
    if isinstance(value, Fraction | int):
        return Fraction(value)
    return Fraction(repr(value)) if isinstance(value, float) else None


def _rounded(value: Fraction, digits: int) -> Fraction:
    """As a spreadsheet rounds: a half goes away from zero."""
    step = Decimal(1).scaleb(-digits)
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return Fraction(exact.quantize(step, ROUND_HALF_UP))


def _near(a: Fraction, b: Fraction) -> bool:
    return abs(a - b) <= _NEAR * max(Fraction(1), abs(b))
