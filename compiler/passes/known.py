"""What a run over several files has worked out already, so that what they share is worked out once."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..model.finding import Finding
from ..model.hookup import Hookup
from ..model.plan import Plan
from .search import Searcher


@dataclass(slots=True)
class Known:
    """Plans and hookups, each with its findings, and one searcher a spec, by its identity, so that no joint is solved
    twice.

    The other keys are made of what `Declared` says is behind plans and hookups, which is the same for two files only if
    they read it from the same places, and of the identity of a typical's node.
    """

    plans: dict[tuple[object, ...], tuple[Plan, tuple[Finding, ...]]] = field(default_factory=dict)
    hookups: dict[tuple[object, ...], tuple[Hookup, tuple[Finding, ...]]] = field(default_factory=dict)
    searchers: dict[int, Searcher] = field(default_factory=dict)
