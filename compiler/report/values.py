"""How one value of a list is written."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from ..model.table import Value

#: A tape measure's division: lengths that are no multiple of 1/64 in (they come from millimetres) are read to this.
_TAPE = 16
#: Units that are currencies, ISO 4217.
MONEY = re.compile(r"[A-Z]{3}\Z")


def as_text(value: Value, unit: str = "") -> str:
    """A value as the trade writes it; the unit `ft-in` asks for feet and inches, any other for the bare number.

    >>> as_text(Fraction(7, 2), "in"), as_text(Fraction(29, 2), "ft-in"), as_text(("BV-101", "BV-201"))
    ('3-1/2', '1 ft 2-1/2 in', 'BV-101, BV-201')
    >>> as_text(2.50), as_text(0.0042), as_text(None)
    ('2.5', '0.0042', '')
    """
    if isinstance(value, Fraction):
        return feet_and_inches(value) if unit == "ft-in" else inches(value)
    if isinstance(value, float):
        return _money(value) if MONEY.match(unit) else decimal(value)
    if isinstance(value, tuple):
        return ", ".join(value)
    return "" if value is None else str(value)


def _money(value: float) -> str:
    """Two decimals, more where a price has them."""
    whole, _, part = decimal(value, 4).partition(".")
    return f"{whole}.{part:0<2}"


def inches(value: Fraction) -> str:
    """Inches with a fraction, to the nearest 1/16 unless a 1/64 hits it exactly.

    >>> inches(Fraction(5, 2)), inches(Fraction(3, 4)), inches(Fraction(-9, 4)), inches(Fraction(95000, 2540))
    ('2-1/2', '3/4', '-2-1/4', '37-3/8')
    """
    if 64 % value.denominator:
        read = Fraction(round(value * _TAPE), _TAPE)
        if not read:
            return decimal(float(value))
        value = read
    sign, value = ("-", -value) if value < 0 else ("", value)
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole}-{rest}" if whole else f"{sign}{rest}"


def feet_and_inches(value: Fraction) -> str:
    """Feet and inches.

    >>> feet_and_inches(Fraction(72)), feet_and_inches(Fraction(21, 2)), feet_and_inches(Fraction(-15))
    ('6 ft', '10-1/2 in', '-1 ft 3 in')
    """
    if 64 % value.denominator:
        value = Fraction(round(value * _TAPE), _TAPE) or value
    sign, value = ("-", -value) if value < 0 else ("", value)
    feet, rest = divmod(value, 12)
    parts = ([f"{feet} ft"] if feet else []) + ([f"{inches(rest)} in"] if rest or not feet else [])
    return sign + " ".join(parts)


def decimal(value: float, digits: int = 2) -> str:
    """A decimal without needless zeros or an exponent: `digits` places from 1 up, `digits` + 1 figures below 1.

    >>> decimal(1234.5678), decimal(3.0), decimal(0.01234), decimal(1e20)
    ('1234.57', '3', '0.0123', '100000000000000000000')
    """
    small = value and abs(value) < 1
    text = f"{value:.{digits - math.floor(math.log10(abs(value))) if small else digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def shortened(names: tuple[str, ...], most: int = 2) -> str:
    """A list of names, cut where that makes it shorter.

    >>> shortened(("GA-1", "GA-2")), shortened(("GA-1", "GA-2", "GA-3", "GA-4"))
    ('GA-1, GA-2', 'GA-1, GA-2 and 2 more')
    """
    if len(names) <= most + 1:
        return ", ".join(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"
