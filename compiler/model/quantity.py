"""Quantities: pint at the edge, one unit system inside.

Inside: inch (exact Fraction), psi gauge, degree F, US gallon, US gallon a minute, lb, ft/s, W/ft, inch of water; shares
from 0 to 1; slopes in inches a foot.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Literal

from .nearest import nearest

if TYPE_CHECKING:
    from pint import UnitRegistry

Dimension = Literal[
    "length", "pressure", "temperature", "volume", "flow", "fraction", "slope", "mass", "velocity",
    "power per length", "static pressure", "time",
]  # fmt: skip

#: Unit inside, and a good example, for each dimension.
_INSIDE: dict[Dimension, tuple[str, str]] = {
    "length": ("in", "3 ft 2-1/2 in"),
    "pressure": ("psi", "125 psi"),
    "temperature": ("degF", "45 degF"),
    "volume": ("gal", "11 gal"),
    "flow": ("gpm", "120 gpm"),
    "fraction": ("", "30 %"),
    "slope": ("in/ft", "1/8 in per ft"),
    "mass": ("lb", "40 lb"),
    "velocity": ("ft/s", "4 ft/s"),
    "power per length": ("W/ft", "5 W per ft"),
    "static pressure": ("inwg", "3 in wg"),
    "time": ("min", "30 min"),
}
#: Where a minus sign makes sense.
_MAY_BE_NEGATIVE: tuple[Dimension, ...] = ("temperature", "pressure")
#: Degree F, exact by the definitions of the two scales (NIST SP 811 appendix B).
_ABSOLUTE_ZERO = Fraction("-459.67")
#: How files write units, in small letters, and pint's names for them in `units.txt`.
_UNITS = {
    "in": "in", "inch": "in", "inches": "in", '"': "in", "''": "in", "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft",
    "mm": "mm", "cm": "cm", "m": "m",
    "psi": "psi", "psig": "psi", "bar": "bar", "barg": "bar", "kpa": "kPa", "kpag": "kPa", "mpa": "MPa",
    "in wg": "inwg", "inwg": "inwg",
    "degf": "degF", "°f": "degF", "degc": "degC", "°c": "degC",
    "gal": "gal", "gallon": "gal", "gallons": "gal",
    "l": "L", "liter": "L", "liters": "L", "litre": "L", "litres": "L",
    "gpm": "gpm", "l/s": "L/s", "l/h": "L/h", "m3/h": "m**3/h",
    "%": "pct", "percent": "pct",
    "in/ft": "in/ft", "in/foot": "in/ft", "mm/m": "mm/m",
    "lb": "lb", "lbs": "lb", "kg": "kg", "ft/s": "ft/s", "m/s": "m/s", "w/ft": "W/ft", "w": "W",
    "h": "h", "hour": "h", "hours": "h", "min": "min", "minute": "min", "minutes": "min",
}  # fmt: skip
_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
#: Marks that word processors put in. (The parser hands over plain text; tables and callers may not.)
_PLAIN = str.maketrans(
    _FRACTIONS | {"′": "'", "’": "'", "″": '"', "”": '"', "“": '"', "–": "-", "−": "-", "‑": "-", "⁄": "/", "º": "°"}
)
#: The conversions that nearly every file asks for: pint takes a third of a second to load, and most files need no
#: other. A test holds them equal to pint's.
HOUSE = {("ft", "in"): Fraction(12), ("pct", ""): Fraction(1, 100)}
_NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?(?:e[-+]?[0-9]+)?(?:[ -][0-9]+/[0-9]+|/[0-9]+)?|\.[0-9]+)"
_FEET_INCHES = re.compile(
    rf"([-+]?{_NUMBER}) ?(?:ft\.?|feet|foot|')[ -]*({_NUMBER}) ?(?:in\.?|inch|inches|\"|'')\Z", re.I
)
_ONE = re.compile(rf"([-+]?{_NUMBER}) ?([^0-9 ].*|)\Z", re.I)
_LONGEST = 100


@dataclass(frozen=True, slots=True)
class QuantityProblem:
    """Why a text is not the quantity that is wanted, and what to write."""

    text: str
    help: str


@cache
def _registry() -> UnitRegistry[Any]:
    from pint import UnitRegistry

    path = files(__package__) / "units.txt"
    return UnitRegistry(str(path), cache_folder=None, non_int_type=Fraction)


def read_quantity(text: str, dimension: Dimension) -> Fraction | float | QuantityProblem:
    """The quantity in the unit used inside: an exact Fraction for lengths and slopes, a float for the rest.

    A text of another dimension, without a unit, with an unknown unit, or beyond all measure gives a QuantityProblem.

    >>> read_quantity("3 ft 2-1/2 in", "length")
    Fraction(77, 2)
    >>> read_quantity("8.6 bar", "pressure")
    124.73
    """
    return _read(text, dimension)


@lru_cache(maxsize=4096)
def _read(text: str, dimension: Dimension) -> Fraction | float | QuantityProblem:
    inside, example = _INSIDE[dimension]
    help = f"write it like `{example}`"
    parts = _parts(_plain(text)) if len(text) <= _LONGEST else None
    if parts is None:
        return QuantityProblem(f"`{text[:_LONGEST]}` is no number", help)
    total = Fraction(0)
    for number, unit in parts:
        value = _convert(number, unit, inside, text, dimension, help)
        if isinstance(value, QuantityProblem):
            return value
        total += value
    if dimension == "temperature" and total < _ABSOLUTE_ZERO:
        return QuantityProblem(f"`{text}` is below absolute zero", help)
    if total < 0 and dimension not in _MAY_BE_NEGATIVE:
        return QuantityProblem(f"`{text}` is less than nothing", help)
    if dimension in ("length", "slope"):
        return total
    return float(total)


def _plain(text: str) -> str:
    """The text with plain characters and single blanks, `2½` as `2-1/2`."""
    text = re.sub(rf"([0-9])\s*(?=[{''.join(_FRACTIONS)}])", r"\1-", text)
    return " ".join(text.translate(_PLAIN).split())


def _parts(text: str) -> list[tuple[str, str]] | None:
    """A quantity as (number, unit) pairs: two for feet and inches."""
    both = _FEET_INCHES.match(text)
    if both:
        sign = "-" if both[1].startswith("-") else ""
        return [(both[1], "ft"), (sign + both[2], "in")]
    one = _ONE.match(text)
    return [(one[1], one[2])] if one is not None else None


def _pint_name(unit: str) -> str | None:
    """pint's name of a unit as files write it, or None for a unit that is not known."""
    short = re.sub(r" ?(?:/|\bper\b) ?", "/", unit.lower()).removesuffix(".")
    return _UNITS.get(short.replace("deg ", "deg").replace("° ", "°"))


def _shown(unit: str) -> str:
    """A unit with the capitals it is usually written with."""
    return _UNITS[unit] if _UNITS[unit].lower() == unit else unit


def _number(text: str) -> Fraction | None:
    """An exact number from `2-1/2`, `3/4`, `0.5`, `1e3`; None for what is no number or beyond 1e12."""
    sign = -1 if text.startswith("-") else 1
    body = text.lstrip("+-").lower()
    mantissa, _, exponent = body.partition("e")
    if exponent and len(exponent) > 3:
        return None
    if exponent and abs(int(exponent)) > 12:
        return None
    try:
        total = sum((Fraction(part) for part in re.split(r"[ -]", mantissa)), Fraction(0))
    except (ValueError, ZeroDivisionError):
        return None
    total *= Fraction(10) ** int(exponent or 0)
    return sign * total if total <= 10**12 else None


def _convert(
    number: str, unit: str, inside: str, text: str, dimension: Dimension, help: str
) -> Fraction | QuantityProblem:
    value = _number(number)
    if value is None:
        return QuantityProblem(f"`{text}` is beyond all measure", help)
    if not unit:
        return QuantityProblem(f"`{text}` has no unit; a {_wanted(dimension)} is wanted", help)
    name = _pint_name(unit)
    if name is None:
        near = nearest(unit.lower(), _UNITS)
        known = f"; `{_shown(near)}` is one" if near else ""
        return QuantityProblem(f"`{unit}` in `{text}` is no unit known here{known}", help)
    line = _conversion(name, inside)
    if line is None:
        return QuantityProblem(f"`{text}` is {_kind_of(name)}; a {_wanted(dimension)} is wanted", help)
    scale, offset = line
    return value * scale + offset


@cache
def _conversion(name: str, inside: str) -> tuple[Fraction, Fraction] | None:
    """Scale and offset from one unit to another, None between dimensions; asked of pint once a pair."""
    if name == inside:
        return Fraction(1), Fraction(0)
    if (name, inside) in HOUSE:
        return HOUSE[name, inside], Fraction(0)
    import pint

    unit = _registry().Quantity
    try:
        zero, one = (Fraction(unit(Fraction(n), name).to(inside or "dimensionless").magnitude) for n in (0, 1))
    except pint.errors.PintError:
        return None
    return one - zero, zero


def _wanted(dimension: Dimension) -> str:
    return "share" if dimension == "fraction" else dimension


def _kind_of(name: str) -> str:
    """What a unit measures, in trade words."""
    for dimension, (inside, _) in _INSIDE.items():
        if _conversion(name, inside) is not None:
            return f"a {_wanted(dimension)}"
    return "something else"


#: Millimetres of an inch.
_INCH_MM = Fraction("25.4")


def format_millimetres(inches: Fraction) -> str:
    """A length in whole millimetres, as drawings carry it; below 10 mm to the tenth.

    >>> format_millimetres(Fraction(77, 2)), format_millimetres(Fraction(3, 16)), format_millimetres(Fraction(-18))
    ('978 mm', '4.8 mm', '-457 mm')
    """
    mm = round(inches * _INCH_MM, 0 if abs(inches * _INCH_MM) >= 10 else 1)
    return f"{float(mm):.1f}".removesuffix(".0") + " mm"


def format_feet_inches(inches: Fraction, parts: int = 16) -> str:
    """A length as the trade writes it, to the nearest sixteenth or to other `parts` of an inch.

    >>> format_feet_inches(Fraction(77, 2)), format_feet_inches(Fraction(3, 8)), format_feet_inches(Fraction(24))
    ('3 ft 2-1/2 in', '3/8 in', '2 ft')
    """
    count = round(abs(inches) * parts)
    feet, rest = divmod(count, 12 * parts)
    whole, part = divmod(rest, parts)
    fraction = Fraction(part, parts)
    small = f"{whole}-{fraction}" if whole and part else str(fraction if part else whole)
    words = [f"{feet} ft"] if feet else []
    if rest or not feet:
        words.append(f"{small} in")
    return ("-" if inches < 0 and count else "") + " ".join(words)
