"""What every pass is given besides the hookup."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..catalogue.declare import Declared
from ..model.finding import Findings
from .search import Searcher


@dataclass(slots=True)
class Run:
    """The declarations of one run, where findings go, and one searcher a spec so that no joint is solved twice."""

    declared: Declared
    findings: Findings
    searchers: dict[str, Searcher] = field(default_factory=dict)
