"""Solder and flux for copper joints, pounds. Copper Tube Handbook, table 14.10."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from ..model.size import Size
from .tables import decimal, table

#: Flux by solder: 2 oz a pound, the same table.
FLUX_SHARE = 2 / 16
#: Rods of these classes (AWS A5.8) braze; the table is of soft solder.
_BRAZING = ("BCuP", "BAg")


class Needed(NamedTuple):
    """Solder of one joint, lb: what stays in it on average, and the allowance for waste, which is as much again."""

    net: float
    waste: float


def solder(nominal: Size, alloy: str) -> Needed | None:
    """What one joint takes; None beyond the table, and for brazing rod.

    >>> from ..model.size import size
    >>> round(100 * sum(solder(size("3/4"), "95-5") or ()), 3)
    0.548
    """
    found = _by_size().get(nominal.label)
    if found is None or alloy.startswith(_BRAZING):
        return None
    return Needed(found / 2, found / 2)


@cache
def _by_size() -> dict[str, float]:
    return {row["nominal"]: float(decimal(row["lb_per_100"])) / 100 for row in table("solder")}
