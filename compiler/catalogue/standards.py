"""To which standard a body or an end is bought."""

from __future__ import annotations

from ..model.ends import End
from .flanges import flange_standard
from .tables import table

#: What kinds.csv prints of a flange: which one it is follows from class and metal.
_FLANGE = "ASME B16.5"


def bought_to(listed: str, end: End) -> str:
    """The standard of a kind that `listed` is printed for, with ends like this one; empty where none is known.

    >>> from coilwright.model.size import size
    >>> bought_to("MSS SP-70 / MSS SP-80", End("flange", size("4"), "carbon steel", "150", "RF"))
    'API 600 / ASME B16.34'
    >>> bought_to("MSS SP-70 / MSS SP-80", End("female thread", size("1"), "bronze", "125"))
    'MSS SP-80'
    """
    if listed == _FLANGE:
        return flange_standard(end.rating, end.metal)
    for row in table("standards"):
        if row["listed"] == listed and row["form"] in ("", end.form) and row["metal"] in ("", end.metal):
            return row["standard"]
    return listed
