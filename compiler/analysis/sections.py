"""What is left of a hookup when its isolation valves are shut: sections, their level places, openings and ways down.

Levels need no lengths: a piece of pipe that rises has a lower and a higher end, everything else is level with its
neighbours, and a coil reaches from its low to its high connection. Places that are level with each other form a pool;
arcs lead downhill from pool to pool. A check valve parts the places on its two sides: neither water nor air gets
back through it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeVar

from ..model.hookup import Component, Hookup, Joint
from .section import Opening, Place, Section

__all__ = ["Leg", "Opening", "Place", "Section", "Sections"]

Found = TypeVar("Found")


class _Groups:
    """Union-find over places."""

    def __init__(self) -> None:
        self._parent: dict[Place, Place] = {}

    def root(self, a: Place) -> Place:
        parent = self._parent
        up = parent.setdefault(a, a)
        if up == a:
            return up
        while (further := parent[up]) is not up:
            up = further
        parent[a] = up
        return up

    def join(self, a: Place, b: Place) -> None:
        self._parent[self.root(a)] = self.root(b)


class Sections:
    """The sections of one hookup with every isolation valve shut.

    With `controls_shut`, two-way control valves are as tight as check valves, unless they fail open.
    """

    def __init__(self, hookup: Hookup, *, controls_shut: bool = False, beside: Sections | None = None) -> None:
        """`beside`: other sections of the same hookup, which know the neighbours already."""
        self.hookup = hookup
        self._controls_shut = controls_shut
        self._levels = _Groups()
        self._parts = _Groups()
        #: id -> (port, other id, other port, joint)
        self.neighbours: dict[str, list[tuple[str, str, str, Joint]]] = (
            beside.neighbours if beside is not None else _neighbours(hookup)
        )
        self.levels_unknown: list[Component] = []  # coils of which the file does not say which connection is low
        self._arcs: list[tuple[Place, Place]] = []
        self._ties: list[tuple[Place, Place]] = []  # places of one part that are not, or not surely, level
        self._split: set[str] = set()
        components = hookup.components()
        for component in components:
            self._inside(component)
        split, join = self._split, self._levels.join
        for u, v, joint in hookup.joints():
            join((u, joint.port_a if u in split else ""), (v, joint.port_b if v in split else ""))
        for a, b in self._ties:
            self._parts.join(self._levels.root(a), self._levels.root(b))
        self.all: list[Section] = []
        self._by_root: dict[Place, Section] = {}
        self._by_pool: dict[Place, Section] = {}
        self._made: dict[object, Any] = {}
        self._gather(components)

    def once(self, make: Callable[[Hookup, Sections], Found]) -> Found:
        """What several rules ask of the hookup, made for the first of them. It must not hold on to the sections."""
        if make not in self._made:
            self._made[make] = make(self.hookup, self)
        found: Found = self._made[make]
        return found

    @cached_property
    def _able(self) -> dict[str, list[Component]]:
        found: dict[str, list[Component]] = {}
        for component in self.hookup.components():
            for ability in component.kind.abilities:
                found.setdefault(ability, []).append(component)
        return found

    @cached_property
    def coils_and_mains(self) -> list[Component]:
        """The coils and mains of the hookup, in the order they were made."""
        return [c for c in self.hookup.components() if c.kind.ports in ("coil", "main")]

    def beyond(self, id: str, port: str) -> tuple[str, str, Joint] | None:
        """What is joined to a port of a component, first of all: (id, port of it, joint); None if nothing is."""
        for own, other, back, joint in self.neighbours[id]:
            if own == port:
                return other, back, joint
        return None

    def having(self, ability: str) -> Sequence[Component]:
        """The components of the hookup that have an ability, in the order they were made."""
        return self._able.get(ability, ())

    # -- places -------------------------------------------------------------------------------------------------

    def place(self, id: str, port: str) -> Place:
        """The place of a port: shared by all ports of a component, unless they differ in level or are shut off."""
        return (id, port) if id in self._split else (id, "")

    def bars(self, component: Component) -> bool:
        """Whether neither water nor air gets back through a component that is no shutoff."""
        if component.kind.can("checks"):
            return True
        shut = self._controls_shut and component.kind.can("controls") and component.kind.ports == "inline"
        return shut and "fails open" not in component.remarks

    def _inside(self, component: Component) -> None:
        """What the ways through one component are: shut, level, or up and down. Its ports are places of their own
        where they are shut, barred, or not level.
        """
        id = component.id
        if component.kind.can("isolates"):
            self._split.add(id)
        elif self.bars(component):
            self._split.add(id)
            self._ties.append(((id, "in"), (id, "out")))
        elif component.kind.ports == "coil":
            self._split.add(id)
            supply, back = (id, "supply"), (id, "return")
            self._ties.append((supply, back))
            levels = {p.name: p.level for p in self.hookup.coils[id].ports.values()}
            if levels.get("supply") == "low" and levels.get("return") == "high":
                self._arcs.append((back, supply))
            elif levels.get("supply") == "high" and levels.get("return") == "low":
                self._arcs.append((supply, back))
            elif levels.get("supply") and levels.get("supply") == levels.get("return"):
                self._levels.join(supply, back)
            else:
                self.levels_unknown.append(component)
            for role, level in (("drain tap", "low"), ("vent tap", "high")):
                at = next((name for name, said in levels.items() if said == level), "supply")
                self._levels.join((id, role), (id, at))
        elif component.pipe is not None and component.pipe.rise:
            self._split.add(id)
            self._ties.append(((id, "in"), (id, "out")))
            ends = ((id, "out"), (id, "in"))
            self._arcs.append(ends if component.pipe.rise > 0 else ends[::-1])

    def _gather(self, components: list[Component]) -> None:
        for component in components:
            is_shut = component.kind.can("isolates")
            for place in self._places(component):
                pool = self._levels.root(place)
                section = self._section(pool)
                if is_shut:
                    section.valves.append((component, place[1]))
                else:
                    section.add(component)
                section.pools.setdefault(pool, []).append((component, place[1]))
        for high, low in self._arcs:
            self.of(high).down.append((self._levels.root(high), self._levels.root(low)))
        for section in self.all:
            self._find_openings(section)

    def _places(self, component: Component) -> Iterable[Place]:
        """All places of a component that are joined to something."""
        id = component.id
        if id not in self._split:
            return ((id, ""),)
        ports = [port for port, _, _, _ in self.neighbours[id]]
        if component.kind.ports == "coil":  # both of its connections are there, joined to something or not
            ports += ["supply", "return"]
        return [(id, port) for port in dict.fromkeys(ports)] or ((id, ""),)

    def of(self, place: Place) -> Section:
        """The section that a place lies in."""
        return self._section(self._levels.root(place))

    def _section(self, pool: Place) -> Section:
        section = self._by_pool.get(pool)
        if section is None:
            root = self._parts.root(pool)
            section = self._by_root.get(root)
            if section is None:
                section = self._by_root[root] = Section()
                self.all.append(section)
            self._by_pool[pool] = section
        return section

    def pool(self, place: Place) -> Place:
        """The pool that a place belongs to."""
        return self._levels.root(place)

    # -- openings -----------------------------------------------------------------------------------------------

    def _find_openings(self, section: Section) -> None:
        """Ends in the section itself, and those behind one of its valves in a piece that holds nothing else."""
        for end in section.ends:
            self._add_opening(section, end, end, self.place(end.id, "in"))
        for valve, port in section.valves:
            for other, _, _, _ in self.neighbours[valve.id]:
                if other == port:
                    continue
                beyond = self.of((valve.id, other))
                if beyond is not section and beyond.is_stub:
                    for end in beyond.ends:
                        self._add_opening(section, end, valve, (valve.id, port))

    def _add_opening(self, section: Section, end: Component, through: Component, place: Place) -> None:
        role = end.role or through.role
        purpose = role if role in ("drain", "vent") else ""
        drains = purpose == "drain" if purpose else end.kind.can("drains")
        vents = purpose == "vent" if purpose else end.kind.can("vents")
        vents = vents or end.kind.can("vents by itself")
        if drains or vents:
            section.openings.append(Opening(self.pool(place), drains, vents, through))

    # -- walks --------------------------------------------------------------------------------------------------

    def leg(self, coil: str, port: str) -> Leg:
        """What a walk from one coil connection meets, stopping at isolation valves, mains and other coils."""
        leg = Leg()
        queue = deque((other, back) for p, other, back, _ in self.neighbours[coil] if p == port)
        came = {coil: ""} | {other: coil for other, _ in queue}

        def path(at: str) -> tuple[str, ...]:
            found = [at]
            while at := came[at]:
                found.append(at)
            return tuple(reversed(found))

        while queue:
            at, came_by = queue.popleft()
            component = self.hookup.component(at)
            if component.kind.can("isolates"):
                leg.valves.append((component, came_by, path(at)))
                continue
            if component.kind.ports in ("main", "coil"):
                leg.reached.append((component, path(at)))
                continue
            for _, other, back, _ in self.neighbours[at]:
                if other not in came:
                    came[other] = at
                    queue.append((other, back))
        return leg


def _neighbours(hookup: Hookup) -> dict[str, list[tuple[str, str, str, Joint]]]:
    found: dict[str, list[tuple[str, str, str, Joint]]] = {component.id: [] for component in hookup.components()}
    for u, v, joint in hookup.joints():
        found[u].append((joint.port_a, v, joint.port_b, joint))
        found[v].append((joint.port_b, u, joint.port_a, joint))
    return found


@dataclass(slots=True)
class Leg:
    """The walk out from one coil connection: valves met (and the port met first), and what was reached without one."""

    valves: list[tuple[Component, str, tuple[str, ...]]] = field(default_factory=list)
    reached: list[tuple[Component, tuple[str, ...]]] = field(default_factory=list)
