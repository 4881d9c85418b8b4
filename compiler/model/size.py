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

_SHAPE = re.compile(r"(?:([0-9]{1,9})-)?([0-9]{1,9})(?:/([0-9]{1,9}))?\Z")
#: Beyond this a number is no NPS, ASME B36.10M (from memory), but may be a DN without its letters.
_LARGEST_NPS = 48
_DN = re.compile(r"DN *([0-9]{1,5})\Z", re.I)


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
    in_dn = _DN.match(text)
    if in_dn:
        return _BY_DN.get(int(in_dn[1]))
    inches = parse_fraction(text)
    return None if inches is None else _BY_INCHES.get(inches)


def size_of(inches: Fraction) -> Size | None:
    """The size that is nominally so many inches."""
    return _BY_INCHES.get(inches)


def size(text: str) -> Size:
    """Like `find_size`, for text that must be right (tables, code). Raises ValueError otherwise."""
    found = find_size(text)
    if found is None:
        raise ValueError(f"no nominal size {text!r}")
    return found


def near_sizes(text: str) -> tuple[str, ...]:
    """At most two sizes that a text which names none may mean, nearest first; none for what is no size at all.

    >>> near_sizes("2-3/4"), near_sizes("2.5"), near_sizes("DN83"), near_sizes("100"), near_sizes("3/0")
    (('2-1/2', '3'), ('2-1/2',), ('DN80', 'DN90'), ('DN100',), ())
    """
    in_dn = _DN.match(text)
    if in_dn:
        return _nearest(Fraction(int(in_dn[1])), {f"DN{s.dn}": Fraction(s.dn) for s in SIZES})
    inches = Fraction(text) if re.fullmatch(r"[0-9]{1,3}\.[0-9]{1,4}", text) else parse_fraction(text)
    if inches is not None and inches in _BY_DN and inches > _LARGEST_NPS:
        return (f"DN{inches}",)
    return _nearest(inches or Fraction(0), {s.label: s.inches for s in SIZES})


def _nearest(value: Fraction, sizes: dict[str, Fraction]) -> tuple[str, ...]:
    """The nearest of sizes that rise, and one more if it is not that very size."""
    if not 0 < value <= max(sizes.values()):
        return ()
    near = sorted(sizes, key=lambda label: abs(sizes[label] - value))
    return tuple(near[: 1 if sizes[near[0]] == value else 2])
