"""What `expand` makes of units: one plan for all that are built alike."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..model.hookup import UnitRef
from ..model.plan import Plan


@dataclass(slots=True)
class Expanded:
    """One distinct plan with its airflow and units."""

    plan: Plan
    airflow: str
    units: list[UnitRef] = field(default_factory=list)
    key: tuple[object, ...] | None = None  # the same in every file that builds the same; None: no other file can
    mains: dict[str, str] = field(default_factory=dict)  # what mains carry, by tag, as far as it is known
