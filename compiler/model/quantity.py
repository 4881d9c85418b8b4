"""Quantities: pint at the edge, one unit system inside.

Inside: inch (exact Fraction), psi gauge, degree F, US gallon, US gallon a minute, lb, ft/s, W/ft, inch of water; shares
from 0 to 1; slopes in inches a foot.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Literal

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
#: How files write units, where pint's name differs.
_SPELT = {
    "'": "ft", '"': "in", "''": "in", "°f": "degF", "°c": "degC", "degf": "degF", "degc": "degC", "%": "pct",
    "percent": "pct", "in wg": "inwg", "inwg": "inwg", "psig": "psi", "kpa": "kPa", "mpa": "MPa", "l": "L",
    "gallons": "gal", "gallon": "gal", "liters": "L", "litres": "L", "liter": "L", "litre": "L", "w/ft": "W/ft",
    "w per ft": "W/ft", "in per ft": "in/ft", "in/ft": "in/ft", "in per foot": "in/ft", "mm per m": "mm/m",
    "inches": "in", "inch": "in", "feet": "ft", "foot": "ft", "hours": "h", "hour": "h", "minutes": "min",
    "minute": "min", "lbs": "lb", "w": "W", "l/s": "L/s", "l/h": "L/h", "m3/h": "m**3/h",
}  # fmt: skip

_PLAIN = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
          "′": "'", "’": "'", "″": '"', "”": '"', "“": '"', "–": "-", "−": "-", "\u00a0": " "}  # fmt: skip
_NUMBER = r"(?:\d+(?:\.\d+)?(?:e[-+]?\d+)?(?:[ -]\d+/\d+|/\d+)?|\.\d+)"
_FEET_INCHES = re.compile(rf"([-+]?{_NUMBER})\s*(?:ft|feet|foot|')[\s-]*({_NUMBER})\s*(?:in|inch|inches|\"|'')\Z", re.I)
_ONE = re.compile(rf"([-+]?{_NUMBER})\s*(\D.*|)\Z", re.I)


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


@cache
def _read(text: str, dimension: Dimension) -> Fraction | float | QuantityProblem:
    inside, example = _INSIDE[dimension]
    help = f"write it like `{example}`"
    cleaned = "".join(_PLAIN.get(c, c) for c in re.sub(r"(\d)\s*(?=[½¼¾⅛⅜⅝⅞⅓⅔])", r"\1-", text)).strip()
    parts = _parts(cleaned)
    if parts is None:
        return QuantityProblem(f"`{text}` is no number", help)
    total = Fraction(0)
    for number, unit in parts:
        value = _convert(number, unit, inside, text, dimension, help)
        if isinstance(value, QuantityProblem):
            return value
        total += value
    if dimension in ("length", "slope"):
        return total
    return float(total)


def _parts(text: str) -> list[tuple[str, str]] | None:
    """A quantity as (number, unit) pairs: two for feet and inches."""
    both = _FEET_INCHES.match(text)
    if both:
        sign = "-" if both[1].startswith("-") else ""
        return [(both[1], "ft"), (sign + both[2], "in")]
    one = _ONE.match(text)
    if one is None:
        return None
    unit = " ".join(one[2].split())
    return [(one[1], _SPELT.get(unit.lower().replace("deg ", "deg").replace("° ", "°"), unit))]


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
        return QuantityProblem(f"`{text}` has no unit; a {dimension} is wanted", help)
    import pint

    try:
        quantity = _registry().Quantity(value, unit)
    except (pint.errors.PintError, ValueError, AttributeError, TypeError, AssertionError):
        return QuantityProblem(f"`{unit}` in `{text}` is no known unit of {dimension}", help)
    try:
        converted = quantity.to(inside or "dimensionless").magnitude
    except pint.errors.PintError:
        return QuantityProblem(f"`{text}` is {_kind_of(unit)}; a {_wanted(dimension)} is wanted", help)
    if not math.isfinite(converted):
        return QuantityProblem(f"`{text}` is beyond all measure", help)
    return Fraction(converted)


def _wanted(dimension: Dimension) -> str:
    return "share" if dimension == "fraction" else dimension


def _kind_of(unit: str) -> str:
    """What a unit measures, in trade words."""
    import pint

    for dimension, (inside, _) in _INSIDE.items():
        try:
            _registry().Quantity(Fraction(1), unit).to(inside or "dimensionless")
        except pint.errors.PintError:
            continue
        return f"a {_wanted(dimension)}"
    return "something else"


def format_feet_inches(inches: Fraction) -> str:
    """A length as the trade writes it, to the nearest sixteenth.

    >>> format_feet_inches(Fraction(77, 2)), format_feet_inches(Fraction(3, 8)), format_feet_inches(Fraction(24))
    ('3 ft 2-1/2 in', '3/8 in', '2 ft')
    """
    sixteenths = round(abs(inches) * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    whole, part = divmod(rest, 16)
    fraction = Fraction(part, 16)
    small = f"{whole}-{fraction}" if whole and part else str(fraction if part else whole)
    words = [f"{feet} ft"] if feet else []
    if rest or not feet:
        words.append(f"{small} in")
    return ("-" if inches < 0 and sixteenths else "") + " ".join(words)
