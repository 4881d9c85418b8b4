"""What the user says of a pack."""

from __future__ import annotations

from dataclasses import dataclass

from ..report.units import Units


@dataclass(frozen=True, slots=True)
class Options:
    """`revision` and `date` are printed as given; empty: `not given`. `pdf`: the same as a PDF too."""

    revision: str = ""
    date: str = ""
    units: Units = "inch-pound"
    pdf: bool = False

    @property
    def metric(self) -> bool:
        """Whether lists are in metric units, and the paper is A4."""
        return self.units == "metric"
