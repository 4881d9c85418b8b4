"""Nominal pipe sizes, NPS and DN."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

#: NPS label and DN, ASME B36.10M table 1 (sizes that the tables of the catalogue cover).
_NPS_DN = (
    ("1/8", 6),
    ("1/4", 8),
    ("3/8", 10),
    ("1/2", 15),
    ("5/8", 18),
    ("3/4", 20),
    ("1", 25),
    ("1-1/4", 32),
    ("1-1/2", 40),
    ("2", 50),
    ("2-1/2", 65),
    ("3", 80),
    ("3-1/2", 90),
    ("4", 100),
    ("5", 125),
    ("6", 150),
    ("8", 200),
    ("10", 250),
    ("12", 300),
)

_SHAPE = re.compile(r"(?:(\d{1,9})-)?(\d{1,9})(?:/(\d{1,9}))?\Z")


def parse_fraction(text: str) -> Fraction | None:
    """`2-1/2`, `3/4` or `3` as an exact number; None if it is no number of that shape or divides by zero."""
    match = _SHAPE.match(text)
    if not match:
        return None
    whole, over, under = match.groups()
    if whole is not None and under is None:
        return None
    if under is not None and int(under) == 0:
        return None
    return Fraction(int(whole or 0)) + Fraction(int(over), int(under or 1))


class Size:
    """One nominal size. There is one object a size, so `is` and `==` agree and sizes are cheap dictionary keys."""

    __slots__ = ("dn", "inches", "label", "rank")

    def __init__(self, label: str, inches: Fraction, dn: int, rank: int) -> None:
        self.label = label
        self.inches = inches
        self.dn = dn
        self.rank = rank

    # All four written out: `functools.total_ordering` makes three of them several times slower.
    def __lt__(self, other: Size) -> bool:
        return self.rank < other.rank

    def __le__(self, other: Size) -> bool:
        return self.rank <= other.rank

    def __gt__(self, other: Size) -> bool:
        return self.rank > other.rank

    def __ge__(self, other: Size) -> bool:
        return self.rank >= other.rank

    def __str__(self) -> str:
        return self.label

    def __repr__(self) -> str:
        return f"Size({self.label})"

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return (size, (self.label,))


def _make() -> tuple[Size, ...]:
    sizes = []
    for rank, (label, dn) in enumerate(_NPS_DN):
        inches = parse_fraction(label)
        assert inches is not None
        sizes.append(Size(label, inches, dn, rank))
    return tuple(sizes)


SIZES: tuple[Size, ...] = _make()
_BY_INCHES = {s.inches: s for s in SIZES}
_BY_DN = {s.dn: s for s in SIZES}


@lru_cache(maxsize=1024)
def find_size(text: str) -> Size | None:
    """The size that `text` names (`2-1/2`, `DN65`), or None if there is no such nominal size."""
    if text[:2].upper() == "DN":
        digits = text[2:].strip()
        return _BY_DN.get(int(digits)) if digits.isdigit() and len(digits) < 6 else None
    inches = parse_fraction(text)
    return None if inches is None else _BY_INCHES.get(inches)


def size(text: str) -> Size:
    """Like `find_size`, for text that must be right (tables, code). Raises ValueError otherwise."""
    found = find_size(text)
    if found is None:
        raise ValueError(f"no nominal size {text!r}")
    return found
