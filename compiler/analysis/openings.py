"""Which pieces must drain and vent by themselves, and where they do not."""

from __future__ import annotations

from typing import Literal

from ..catalogue.limits import limit
from ..model.hookup import Component, Hookup
from .section import Place, Section
from .water import tube_velocity


def wanting(section: Section, which: Literal["low", "high"]) -> list[list[Place]]:
    """The lowest pools of a section that have no drain, or the highest that have no vent."""
    return section.undrained if which == "low" else section.unvented


def self_venting(hookup: Hookup, section: Section, pools: list[Place]) -> list[Component]:
    """The coils with a connection at some high points whose water carries the air on by its velocity."""
    coils = [c for pool in pools for c, _ in section.pools[pool] if c.kind.ports == "coil"]
    return [c for c in dict.fromkeys(coils) if (tube_velocity(hookup.coils[c.tag]) or 0) > limit("self-venting")]


def is_judged(section: Section) -> bool:
    """Whether a section must drain and vent by itself: not one open to a main, and no stub behind a drain valve."""
    return not section.mains and not section.is_stub and bool(section.components)
