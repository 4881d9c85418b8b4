"""How much liquid stays at a low point that has no drain, where the file gives the lengths around it."""

from __future__ import annotations

from fractions import Fraction
from heapq import heappop, heappush

from ..catalogue.weights import bore_area
from ..model.hookup import Component, Hookup
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Unknown
from .sections import Place, Section

#: A US gallon in cubic inches, by definition.
_GALLON = 231
#: (how high, the pool there, the riser to it): None where the height is not measured.
_Rise = tuple[Fraction | None, Place, Component | None]


def trapped_gallons(hookup: Hookup, section: Section, low: list[Place]) -> float | Unknown:
    """The US gallons that cannot run out from a lowest pool (and those level with it in a ring).

    Liquid stays up to the lowest place over which it runs away: to a drain, or downhill to another low point. Counted
    are the runs of pipe that the file gives; bodies of valves and fittings are not. `NOT_MEASURED` if a height or a run
    in it has no length, or if it reaches a coil; worked example in the tests: a pocket 2 ft deep of NPS 2 schedule 40.
    """
    rises = _rises(hookup, section)
    drained = {o.pool for o in section.openings if o.drains}
    heights: dict[Place, Fraction] = {}
    queue: list[tuple[Fraction, Place]] = [(Fraction(0), pool) for pool in low]
    level = Fraction(0)
    risers: dict[str, tuple[Component, Fraction]] = {}  # with the height of their lower end
    while queue:
        height, pool = heappop(queue)
        if pool in heights:
            continue
        level = max(level, height)
        heights[pool] = height
        if pool in drained or _runs_away(rises, heights, pool, height):
            return _volume(hookup, section, heights, risers, level)
        for rise, other, riser in rises.get(pool, ()):
            if rise is None:
                return NOT_MEASURED
            if riser is not None:
                risers[riser.id] = (riser, min(height, height + rise))
            if other not in heights:
                heappush(queue, (height + rise, other))
    return NOT_MEASURED  # nothing lets it run away: all of the section is full, fittings and coils too


def _runs_away(rises: dict[Place, list[_Rise]], heights: dict[Place, Fraction], pool: Place, height: Fraction) -> bool:
    """Whether a way leads downhill from a pool to where the liquid has not come from."""
    return any(rise is not None and rise < 0 and other not in heights for rise, other, _ in rises.get(pool, ()))


def _rises(hookup: Hookup, section: Section) -> dict[Place, list[_Rise]]:
    """From each pool up and down to its neighbours."""
    ends: dict[str, list[Place]] = {}
    for pool, places in section.pools.items():
        for component, _ in places:
            if component.pipe is not None and component.pipe.rise:
                ends.setdefault(component.id, []).append(pool)
    rises: dict[Place, list[_Rise]] = {}
    measured: set[tuple[Place, Place]] = set()
    for id, pools in ends.items():
        if len(pools) != 2:
            continue
        riser = hookup.component(id)
        for high, low in ((pools[0], pools[1]), (pools[1], pools[0])):
            if (high, low) in section.down:
                length = _rise(riser)
                rises.setdefault(high, []).append((None if length is None else -length, low, riser))
                rises.setdefault(low, []).append((length, high, riser))
                measured.add((high, low))
    for high, low in section.down:  # coils, whose height no file gives
        if (high, low) not in measured:
            rises.setdefault(high, []).append((None, low, None))
            rises.setdefault(low, []).append((None, high, None))
    return rises


def _rise(riser: Component) -> Fraction | None:
    pipe = riser.pipe
    if pipe is None or not isinstance(pipe.length, Fraction) or pipe.heading not in ("up", "down"):
        return None  # of an offset the length is the travel, not the rise
    return pipe.length


def _volume(
    hookup: Hookup,
    section: Section,
    heights: dict[Place, Fraction],
    risers: dict[str, tuple[Component, Fraction]],
    level: Fraction,
) -> float | Unknown:
    total = 0.0
    counted: set[str] = set()
    for pool, height in heights.items():
        if height >= level:
            continue
        for component, _ in section.pools[pool]:
            pipe = component.pipe
            if pipe is None or pipe.rise or component.id in counted:
                continue
            counted.add(component.id)
            if not isinstance(pipe.length, Fraction):
                return NOT_MEASURED
            area = _bore_area(hookup, component)
            if area is None:
                return NOT_IN_TABLES
            total += area * float(pipe.length)
    for riser, foot in risers.values():
        length = _rise(riser)
        if foot >= level or length is None:
            continue
        area = _bore_area(hookup, riser)
        if area is None:
            return NOT_IN_TABLES
        total += area * float(min(length, level - foot))
    return total / _GALLON


def _bore_area(hookup: Hookup, component: Component) -> float | None:
    """Square inches."""
    return bore_area(component.size, hookup.lines[component.line].spec.row(component.size))
