"""How names, sizes and units of books and lists are made alike before they are compared. Nothing else is: no
abbreviation is opened, no near word taken.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from functools import lru_cache

from ..model.size import find_size, parse_fraction, size_of

_BLANKS = re.compile(r"\s+")
_COMMA = re.compile(r"\s*,\s*")
_TIMES = re.compile(r"\s*[x×]\s*", re.I)
_INCH = re.compile(r"\s*(?:\"|''|″|inch(?:es)?|in\.?)\Z", re.I)
_MIXED = re.compile(r"(\d+)\s+(\d+/\d+)\Z")
_DECIMAL = re.compile(r"\d{1,4}\.\d{1,6}\Z")
_COUNTED = re.compile(r"(?:per\s+)?(?P<number>[1-9]\d{0,5})?\s*(?P<unit>[^\d\s].*)\Z")

#: Words for units, and what one of them is in a unit of our lists.
_UNITS: dict[str, tuple[str, Fraction]] = {
    **dict.fromkeys(("pieces", "piece", "pc", "pcs", "each", "ea"), ("pieces", Fraction(1))),
    **dict.fromkeys(("sets", "set"), ("sets", Fraction(1))),
    **dict.fromkeys(("ft", "foot", "feet"), ("ft", Fraction(1))),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), ("ft", 1 / Fraction("0.3048"))),
    **dict.fromkeys(("joints", "joint"), ("joints", Fraction(1))),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), ("lb", Fraction(1))),
    **dict.fromkeys(("kg", "kilogram", "kilograms"), ("lb", 1 / Fraction("0.45359237"))),
    **dict.fromkeys(("gal", "gallon", "gallons"), ("gal", Fraction(1))),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), ("gal", 1 / Fraction("3.785411784"))),
}


@lru_cache(maxsize=100_000)
def name_key(text: str) -> str:
    """Letters without their case, compatible characters as one, blanks as one, none before a comma.

    >>> name_key("90 Elbow ,  long radius,Carbon Steel")
    '90 elbow, long radius, carbon steel'
    """
    plain = unicodedata.normalize("NFKC", text.replace("\u2044", "/")).casefold()
    return _COMMA.sub(", ", _BLANKS.sub(" ", plain).strip())


@lru_cache(maxsize=100_000)
def size_key(text: str) -> str:
    """A nominal size by its NPS, each part of `4 x 2-1/2` by itself; inch marks fall off. Other texts as names.

    >>> size_key('2 1/2"'), size_key("DN 65"), size_key("2.5"), size_key("4X2-1/2"), size_key("any old")
    ('2-1/2', '2-1/2', '2-1/2', '4 x 2-1/2', 'any old')
    """
    text = text.strip()
    if not text:
        return ""
    dn = text.upper().startswith("DN")
    parts = [_part(f"DN {part}" if dn and index else part) for index, part in enumerate(_TIMES.split(text))]
    return " x ".join(part for part in parts if part) if all(parts) else name_key(text)


def _part(text: str) -> str:
    text = _INCH.sub("", text.strip())
    found = find_size(_MIXED.sub(r"\1-\2", text))
    if found is not None:
        return found.label
    inches = Fraction(text) if _DECIMAL.match(text) else parse_fraction(text)
    found = size_of(inches) if inches is not None else None
    return found.label if found is not None else ""


@lru_cache(maxsize=10_000)
def unit_key(text: str) -> tuple[str, Fraction]:
    """A unit as our lists name it, and how many of those one of the book's is. `100 ft` counts by the hundred.

    >>> unit_key("EA"), unit_key("per 100 ft")
    (('pieces', Fraction(1, 1)), ('ft', Fraction(100, 1)))
    """
    match = _COUNTED.match(name_key(text))
    if match is None:
        return name_key(text), Fraction(1)
    unit, scale = _UNITS.get(match["unit"], (match["unit"], Fraction(1)))
    return unit, scale * int(match["number"] or 1)
