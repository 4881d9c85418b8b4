"""The outside of insulation: its area, and whether it has to keep vapour out."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache

from .tables import decimal, table


def jacket_area(od: Fraction, thickness: Fraction, length: float) -> float:
    """Square feet over insulated pipe, all in inches; of a bend along its centreline (Pappus's rule).

    >>> round(jacket_area(Fraction("4.5"), Fraction(2), 12), 3)
    2.225
    """
    return math.pi * float(od + 2 * thickness) * length / 144


@cache
def _cold_to() -> float:
    return max(float(decimal(row["to_f"])) for row in table("insulation") if row["of"] == "cold")


def is_cold(low_f: float) -> bool:
    """Whether a service is one of the cold ones of the energy code, to 60 F: moist air wets them without a retarder.

    ASHRAE 90.1 table 6.8.3B for the temperature; WAC 51-11C-40328 asks for the retarder.
    """
    return low_f <= _cold_to()
