"""Single figures of the trade, least insulation and greatest flow: what the rules compare with."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

from ..model.size import Size, size
from .tables import Row, decimal, table

#: The size columns of the insulation table: below this size the column holds.
_INSULATION = (("1", "under_1_in"), ("1-1/2", "under_1_1_2_in"), ("4", "under_4_in"), ("8", "under_8_in"))


@cache
def _limits() -> dict[str, Fraction]:
    return {row["limit"]: decimal(row["value"]) for row in table("limits")}


def limit(name: str) -> Fraction:
    """One figure of `tables/limits.csv`, in the unit that stands there. Raises KeyError for a name it does not have.

    >>> limit("velocity occupied"), limit("sleeve gap")
    (Fraction(4, 1), Fraction(1, 4))
    """
    return _limits()[name]


@cache
def least_insulation(nps: Size, low_f: float, high_f: float) -> Fraction:
    """Least thickness in inches for pipe that carries fluid between two temperatures; 0 where the code asks for none.

    The hot end of the range and the cold end are looked up apart, and the thicker one holds. ASHRAE 90.1-2010.

    >>> least_insulation(size("2-1/2"), 140, 180), least_insulation(size("3/4"), 44, 90)
    (Fraction(2, 1), Fraction(1, 2))
    """
    found = [row for row in table("insulation") if _holds(row, high_f if row["of"] == "hot" else low_f)]
    column = next((column for below, column in _INSULATION if nps < size(below)), "from_8_in")
    return max((decimal(row[column]) for row in found), default=Fraction(0))


def _holds(row: Row, temperature: float) -> bool:
    above = float(decimal(row["above_f"])) if row["above_f"] else float("-inf")
    to = float(decimal(row["to_f"])) if row["to_f"] else float("inf")
    # A cold range counts its lower end in: at just 40 F a fluid is chilled water, only below is it brine.
    return above <= temperature < to if row["of"] == "cold" else above < temperature <= to


def flow_caps(nps: Size, hours: float | None, variable: bool) -> list[Fraction]:
    """The energy code's greatest flows of chilled water, gpm, that may hold for a size: one if hours are given, else
    those of every number of hours. Empty where the code has no row for the size. WAC 51-11C-40337.

    >>> [int(cap) for cap in flow_caps(size("3"), 3000, False)], [int(cap) for cap in flow_caps(size("3"), None, True)]
    ([140], [270, 210, 170])
    """
    row = next((row for row in table("flow_caps") if row["nps"] == nps.label), None)
    if row is None:
        return []
    kind = "variable" if variable else "constant"
    if hours is None:
        return [decimal(row[f"{kind}_{until}"]) for until in ("2000", "4400", "more")]
    until = "2000" if hours <= 2000 else "4400" if hours <= 4400 else "more"
    return [decimal(row[f"{kind}_{until}"])]
