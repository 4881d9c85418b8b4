"""What every pass is given besides the hookup."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..catalogue.declare import Declared
from ..model.finding import Findings
from .known import Known
from .search import Searcher


@dataclass(slots=True)
class Run:
    """The declarations of one file, where findings go, one searcher a spec so that no joint is solved twice, and what
    is known from other files."""

    declared: Declared
    findings: Findings
    searchers: dict[str, Searcher] = field(default_factory=dict)
    known: Known = field(default_factory=Known)
