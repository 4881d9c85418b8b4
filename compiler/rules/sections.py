"""What is left of a hookup when its isolation valves are shut: sections, their level places, openings and ways down.

Levels need no lengths: a piece of pipe that rises has a lower and a higher end, everything else is level with its
neighbours, and a coil reaches from its low to its high connection. Places that are level with each other form a pool;
arcs lead downhill from pool to pool. A check valve parts the places on its two sides: neither water nor air gets
back through it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field

from ..model.hookup import Component, Hookup, Joint

#: A place: a component, or one port of a component whose ports are not level or not connected.
Place = tuple[str, str]


class _Groups:
    """Union-find over places."""

    def __init__(self) -> None:
        self._parent: dict[Place, Place] = {}

    def root(self, a: Place) -> Place:
        parent = self._parent
        while (up := parent.setdefault(a, a)) != a:
            parent[a] = parent[up]
            a = up
        return a

    def join(self, a: Place, b: Place) -> None:
        self._parent[self.root(a)] = self.root(b)


@dataclass(slots=True)
class Opening:
    """A way out of a section: a drain or vent and where it sits. `through` is the valve or plug to open."""

    pool: Place
    drains: bool
    vents: bool
    through: Component


@dataclass(slots=True)
class Section:
    """A piece that is left between shut isolation valves."""

    components: list[Component] = field(default_factory=list)
    pools: dict[Place, list[tuple[Component, str]]] = field(default_factory=dict)  # what stands at each level, by port
    down: list[tuple[Place, Place]] = field(default_factory=list)  # from a higher pool to a lower one
    valves: list[tuple[Component, str]] = field(default_factory=list)  # its shut valves, and their port on this side
    openings: list[Opening] = field(default_factory=list)

    @property
    def mains(self) -> list[Component]:
        """The mains it is open to."""
        return [c for c in self.components if c.kind.ports == "main"]

    @property
    def coils(self) -> list[Component]:
        """The coils in it."""
        return [c for c in self.components if c.kind.ports == "coil"]

    @property
    def is_stub(self) -> bool:
        """The far side of a drain or vent valve: nothing but a way out behind one valve."""
        return len(self.valves) == 1 and not self.coils and not self.mains

    def name(self) -> str:
        """How findings call it: the coils in it, or the valves around it."""
        coils = [f"coil `{c.label}`" for c in self.coils]
        valves = [f"`{v.label}`" for v, _ in self.valves if not v.role]
        return (
            " and ".join(coils) if coils else "the piece between " + " and ".join(dict.fromkeys(valves) or ["its ends"])
        )


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
        self._split = {component.id for component in hookup.components() if self._is_split(component)}
        for component in hookup.components():
            self._inside(component)
        for u, v, joint in hookup.joints():
            self._levels.join(self.place(u, joint.port_a), self.place(v, joint.port_b))
        for a, b in self._ties:
            self._parts.join(self._levels.root(a), self._levels.root(b))
        self.all: list[Section] = []
        self._by_root: dict[Place, Section] = {}
        self._gather()

    # -- places -------------------------------------------------------------------------------------------------

    def place(self, id: str, port: str) -> Place:
        """The place of a port: shared by all ports of a component, unless they differ in level or are shut off."""
        return (id, port) if id in self._split else (id, "")

    def _is_split(self, component: Component) -> bool:
        """Whether the ports of a component are places of their own."""
        if component.kind.ports == "coil" or component.kind.can("isolates") or self.bars(component):
            return True
        return component.pipe is not None and bool(component.pipe.rise)

    def bars(self, component: Component) -> bool:
        """Whether neither water nor air gets back through a component that is no shutoff."""
        if component.kind.can("checks"):
            return True
        shut = self._controls_shut and component.kind.can("controls") and component.kind.ports == "inline"
        return shut and "fails open" not in component.remarks

    def _inside(self, component: Component) -> None:
        """What the ways through one component are: shut, level, or up and down."""
        id = component.id
        if component.kind.can("isolates"):
            return
        if self.bars(component):
            self._ties.append(((id, "in"), (id, "out")))
        elif component.kind.ports == "coil":
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
            self._ties.append(((id, "in"), (id, "out")))
            ends = ((id, "out"), (id, "in"))
            self._arcs.append(ends if component.pipe.rise > 0 else ends[::-1])

    def _gather(self) -> None:
        for component in self.hookup.components():
            is_shut = component.kind.can("isolates")
            for place in self._places(component):
                pool = self._levels.root(place)
                section = self._section(pool)
                if is_shut:
                    section.valves.append((component, place[1]))
                elif component not in section.components[-1:]:
                    section.components.append(component)
                section.pools.setdefault(pool, []).append((component, place[1]))
        for high, low in self._arcs:
            self.of(high).down.append((self._levels.root(high), self._levels.root(low)))
        for section in self.all:
            self._find_openings(section)

    def _places(self, component: Component) -> Iterator[Place]:
        """All places of a component that are joined to something."""
        if component.id not in self._split:
            yield (component.id, "")
            return
        ports = [port for port, _, _, _ in self.neighbours[component.id]]
        if component.kind.ports == "coil":  # both of its connections are there, joined to something or not
            ports += ["supply", "return"]
        seen = dict.fromkeys(self.place(component.id, port) for port in ports)
        yield from seen or {(component.id, ""): None}

    def of(self, place: Place) -> Section:
        """The section that a place lies in."""
        return self._section(self._levels.root(place))

    def _section(self, pool: Place) -> Section:
        root = self._parts.root(pool)
        if root not in self._by_root:
            self._by_root[root] = Section()
            self.all.append(self._by_root[root])
        return self._by_root[root]

    def pool(self, place: Place) -> Place:
        """The pool that a place belongs to."""
        return self._levels.root(place)

    # -- openings -----------------------------------------------------------------------------------------------

    def _find_openings(self, section: Section) -> None:
        """Ends in the section itself, and those behind one of its valves in a piece that holds nothing else."""
        for component in section.components:
            if component.kind.ports == "end":
                self._add_opening(section, component, component, self.place(component.id, "in"))
        for valve, port in section.valves:
            for other in self._far_ports(valve, port):
                beyond = self.of(self.place(valve.id, other))
                if beyond is section or not beyond.is_stub:
                    continue
                for component in beyond.components:
                    if component.kind.ports == "end":
                        self._add_opening(section, component, valve, self.place(valve.id, port))

    def _far_ports(self, valve: Component, port: str) -> list[str]:
        return [p for p, _, _, _ in self.neighbours[valve.id] if p != port]

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
        start = [(other, back, joint) for p, other, back, joint in self.neighbours[coil] if p == port]
        queue: deque[tuple[str, str, tuple[str, ...]]] = deque((o, back, (coil, o)) for o, back, _ in start)
        seen = {coil} | {other for other, _, _ in start}
        while queue:
            at, came_by, path = queue.popleft()
            component = self.hookup.component(at)
            if component.kind.can("isolates"):
                leg.valves.append((component, came_by, path))
                continue
            if component.kind.ports in ("main", "coil"):
                leg.reached.append((component, path))
                continue
            for _, other, back, _ in self.neighbours[at]:
                if other not in seen:
                    seen.add(other)
                    queue.append((other, back, (*path, other)))
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
