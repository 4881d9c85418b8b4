"""What every pass is given besides the hookup."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..catalogue.declare import Declared
from ..model.finding import Findings
from .known import Known


@dataclass(slots=True)
class Run:
    """The declarations of one file, where findings go, and what is known, from other files too."""

    declared: Declared
    findings: Findings
    known: Known = field(default_factory=Known)
