"""How many shut valves keep two services apart, and whether a leak past one of them shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import combinations

from ..analysis.places import below, doubled, is_asked
from ..analysis.sections import Sections
from ..model.declared import Service
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from .registry import concerned, fault, rule

_SOURCES = (
    "OSHA 1910.146, text and letters (double block and bleed, blinds)",
    "a valve maker's definition of double block and bleed",
    "UFGS 15211 (each system is pressurised alone)",
    "common practice, no source, for hydronic services as such",
)
_MEND = (
    "put two valves in series there, both `normally closed`, with a `drain 3/4` and a `vent 1/2` between them as the "
    "bleed; or take the connection out with a removable spool and blinds"
)

_BLEED = "put a `drain 3/4` between the two valves"


@rule(
    "glycol-one-valve-from-water",
    severity="must",
    asks="two shut valves in series with a bleed between them keep glycol from water, and drinking water from all else",
    why="One seat leaks sooner or later and nobody sees it: water thins the glycol below the strength it was chosen "
    "for, glycol gets into the water.",
    mend=_MEND,
    sources=_SOURCES,
    agreement="3 sources on what counts as isolation; none found for the rule itself",
)
def glycol_one_valve_from_water(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A normally closed valve with two fluids, or drinking water, on its two sides."""
    for wall in _walls(hookup, sections):
        if wall.grave:
            yield _one_valve(hookup, wall)


@rule(
    "services-one-valve-apart",
    severity="should",
    asks="two shut valves in series with a bleed between them keep two services apart",
    why="One seat leaks sooner or later, and hot and chilled water mix unseen.",
    mend=_MEND,
    sources=_SOURCES,
    agreement="3 sources on what counts as isolation; none found for the rule itself",
)
def services_one_valve_apart(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A normally closed valve with two services of one fluid on its two sides."""
    for wall in _walls(hookup, sections):
        if not wall.grave:
            yield _one_valve(hookup, wall)


@rule(
    "glycol-without-bleed-from-water",
    severity="must",
    asks="between two shut valves that keep glycol from water, or drinking water from all else, there is a bleed",
    why="Only an open bleed shows that the first valve leaks, before the second does; without it two valves are no "
    "more than one.",
    mend=_BLEED,
    sources=_SOURCES,
    agreement="3 sources on what counts as isolation",
)
def glycol_without_bleed_from_water(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A piece shut at both ends between two fluids, or drinking water, and no drain or vent on it."""
    for valves, grave in sections.once(_unbled):
        if grave:
            yield _no_bleed(hookup, valves)


@rule(
    "services-without-bleed",
    severity="should",
    asks="between two shut valves that keep two services of one fluid apart there is a bleed",
    why="Only an open bleed shows that the first valve leaks, before the second does.",
    mend=_BLEED,
    sources=_SOURCES,
    agreement="3 sources on what counts as isolation",
)
def services_without_bleed(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A piece shut at both ends between two services of one fluid, and no drain or vent on it."""
    for valves, grave in sections.once(_unbled):
        if not grave:
            yield _no_bleed(hookup, valves)


def _unbled(hookup: Hookup, sections: Sections) -> list[tuple[list[Component], bool]]:
    """The valves around each piece between two services that has no bleed, and whether the services must not meet."""
    if len({c.service for c in sections.coils_and_mains if c.service}) < 2:
        return []
    regions = sections.once(_regions)
    beside: dict[int, list[tuple[Component, frozenset[str]]]] = {}
    for valve, here, there in _between(hookup, sections, regions):
        for inner, outer in ((here, there), (there, here)):
            if not inner.services and outer.services:
                beside.setdefault(id(inner), []).append((valve, frozenset(outer.services)))
    found = []
    for inner in dict.fromkeys(regions.values()):
        around = beside.get(id(inner), [])
        if len({services for _, services in around}) < 2 or inner.bleeds:
            continue
        kept = [hookup.services[name] for name in sorted({name for _, names in around for name in names})]
        grave = any(_Wall(around[0][0], one, other).grave for one, other in combinations(kept, 2))
        found.append((list(dict.fromkeys(valve for valve, _ in around)), grave))
    return found


def _no_bleed(hookup: Hookup, valves: list[Component]) -> Finding:
    names = " and ".join(f"`{valve.label}`" for valve in valves)
    return fault(
        f"no bleed between {names}, which keep two services apart",
        valves[0].origin[0],
        about=concerned(hookup, *valves),
        mend=below(hookup, valves[0], "drain 3/4") if valves[0].line == valves[-1].line else (),
    )


@dataclass(slots=True, eq=False)
class _Region:
    """What hangs together with the normally closed valves shut: its services, and whether it can be bled."""

    services: set[str] = field(default_factory=set)
    bleeds: bool = False


@dataclass(frozen=True, slots=True)
class _Wall:
    """A shut valve with a service on each side."""

    valve: Component
    one: Service
    other: Service

    @property
    def grave(self) -> bool:
        """Whether the two fluids must not meet."""
        return self.one.fluid != self.other.fluid or self.one.potable or self.other.potable


def _shuts(component: Component) -> bool:
    return component.closed and component.kind.can("isolates")


def _regions(hookup: Hookup, sections: Sections) -> dict[str, _Region]:
    """The region of every component that is no shut valve."""
    made: dict[str, _Region] = {}
    for start in hookup.components():
        if start.id in made or _shuts(start):
            continue
        region = _Region()
        stack = [start.id]
        made[start.id] = region
        while stack:
            at = stack.pop()
            component = hookup.component(at)
            if component.kind.ports in ("coil", "main") and component.service:
                region.services.add(component.service)
            for _, other, _, _ in sections.neighbours[at]:
                beside = hookup.component(other)
                if _shuts(beside):
                    region.bleeds |= beside.role in ("drain", "vent")
                elif other not in made:
                    made[other] = region
                    stack.append(other)
    return made


def _between(
    hookup: Hookup, sections: Sections, regions: dict[str, _Region]
) -> Iterator[tuple[Component, _Region, _Region]]:
    """Every shut valve with the regions on its two sides. A shut blind, or a spool that is out, parts two for good."""
    for component in sections.having("isolates"):
        if not component.closed or component.kind.can("blinds"):
            continue
        sides = [regions[other] for _, other, _, _ in sections.neighbours[component.id] if other in regions]
        if len(sides) == 2 and sides[0] is not sides[1]:
            yield component, sides[0], sides[1]


def _walls(hookup: Hookup, sections: Sections) -> Iterator[_Wall]:
    """Every shut valve that alone keeps two services apart; regions that are mixed already are another rule's."""
    if len({c.service for c in sections.coils_and_mains if c.service}) < 2:
        return
    for valve, here, there in _between(hookup, sections, sections.once(_regions)):
        if here.services & there.services or not here.services or not there.services:
            continue
        pairs = [
            (hookup.services[a], hookup.services[b]) for a in sorted(here.services) for b in sorted(there.services)
        ]
        walls = [_Wall(valve, a, b) for a, b in pairs if a.mixture != b.mixture or a.name != b.name]
        yield next((wall for wall in walls if wall.grave), walls[0])


def _one_valve(hookup: Hookup, wall: _Wall) -> Finding:
    valve = wall.valve
    coils = [tag for tag, facts in hookup.coils.items() if facts.service in (wall.one.name, wall.other.name)]
    return fault(
        f"`{valve.label}` alone keeps `{wall.one.name}` from `{wall.other.name}`",
        valve.origin[0],
        about=tuple(dict.fromkeys((*concerned(hookup, valve), *coils))),
        notes=(Note("one seat is no separation: a leak past it does not show"),),
        mend=doubled(hookup, valve) if is_asked(valve) else (),
    )
