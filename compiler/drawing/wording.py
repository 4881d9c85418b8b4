"""How drawings write lengths, sizes and texts with quantities: inch-pound, unless whoever asks for them says otherwise.

Metric words come from above, as the lists have theirs; drawings know only that there are some.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from ..model.quantity import format_feet_inches
from ..model.table import Unknown


def feet_and_inches(length: Fraction) -> str:
    """A length as the lists print it: exact where it is so many sixty-fourths of an inch, else to the sixteenth.

    What is less than the least division is no `0 in`.

    >>> feet_and_inches(Fraction(141, 4)), feet_and_inches(Fraction(5, 64)), feet_and_inches(Fraction(1, 50))
    ('2 ft 11-1/4 in', '5/64 in', 'under 1/32 in')
    """
    text = format_feet_inches(length, 16 if 64 % length.denominator else 64)
    return "under 1/32 in" if text == "0 in" and length else text


def lettered(number: int) -> str:
    """The letter for a number from 0, and two where one would come again.

    >>> [lettered(number) for number in (0, 25, 26, 27)]
    ['A', 'Z', 'AA', 'AB']
    """
    return (lettered(number // 26 - 1) if number >= 26 else "") + chr(ord("A") + number % 26)


@dataclass(frozen=True, slots=True)
class Wording:
    """`length` writes inches, `size` a nominal size (`4`, `4 x 2-1/2`), `text` a text with quantities in it; `sizes`
    says what sizes are. Names of things as they are bought are left alone."""

    length: Callable[[Fraction], str] = feet_and_inches
    size: Callable[[str], str] = str
    text: Callable[[str], str] = str
    sizes: str = "NPS"

    def of(self, length: Fraction | Unknown) -> str:
        """A length, or that it is not known."""
        return self.length(length) if isinstance(length, Fraction) else str(length)


INCH_POUND = Wording()
