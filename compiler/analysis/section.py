"""One section of a hookup: what stands in it at which level, its shut valves, ways out, low points and high points."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from graphlib import CycleError, TopologicalSorter

import networkx as nx

from ..model.hookup import Component

#: A place: a component, or one port of a component whose ports are not level or not connected.
Place = tuple[str, str]


@dataclass(slots=True)
class Opening:
    """A way out of a section: a drain or vent and where it sits. `through` is the valve or plug to open."""

    pool: Place
    drains: bool
    vents: bool
    through: Component


@dataclass(eq=False)
class Section:
    """A piece that is left between shut isolation valves.

    What is worked out from it (`undrained`, `unvented`) holds once all of it is gathered.
    """

    components: list[Component] = field(default_factory=list)
    mains: list[Component] = field(default_factory=list)  # the mains it is open to
    coils: list[Component] = field(default_factory=list)
    ends: list[Component] = field(default_factory=list)  # plugs, caps, hose ends and the like
    pools: dict[Place, list[tuple[Component, str]]] = field(default_factory=dict)  # what stands at each level, by port
    down: list[tuple[Place, Place]] = field(default_factory=list)  # from a higher pool to a lower one
    valves: list[tuple[Component, str]] = field(default_factory=list)  # its shut valves, and their port on this side
    openings: list[Opening] = field(default_factory=list)

    def add(self, component: Component) -> None:
        """Put in a component, as the last one; one whose places lie in it one after the other is there once."""
        if self.components and self.components[-1] is component:
            return
        self.components.append(component)
        ports = component.kind.ports
        if ports == "end":
            self.ends.append(component)
        elif ports == "coil":
            self.coils.append(component)
        elif ports == "main":
            self.mains.append(component)

    @property
    def is_stub(self) -> bool:
        """The far side of a drain or vent valve: nothing but a way out behind one valve."""
        return len(self.valves) == 1 and not self.coils and not self.mains

    def name(self) -> str:
        """How findings call it: the coils in it, or the valves around it; of more than two valves, the pumps in it."""
        if self.coils:
            return " and ".join(f"coil `{c.label}`" for c in self.coils)
        valves = list(dict.fromkeys(f"`{v.label}`" for v, _ in self.valves if not v.role))
        pumps = [f"pump `{c.label}`" for c in self.components if c.kind.can("pumps")]
        if len(valves) > 2 and pumps:
            return f"the piece with {' and '.join(pumps)}"
        if len(valves) > 1:
            return f"the piece between {', '.join(valves[:-1])} and {valves[-1]}"
        return f"the piece behind {valves[0]}" if valves else "the piece between its ends"

    @property
    def is_shut_in(self) -> bool:
        """A piece without a coil between valves that are all normally closed, such as a spool with a bleed."""
        shut = [valve.closed for valve, _ in self.valves if not valve.role]
        return len(shut) > 1 and all(shut) and not self.coils and not self.mains

    @cached_property
    def undrained(self) -> list[list[Place]]:
        """The lowest pools without a drain, each as the pools that lie in a ring of level ways with it."""
        served = {opening.pool for opening in self.openings if opening.drains}
        return [pools for pools in self._last(self.down) if not served.intersection(pools)]

    @cached_property
    def unvented(self) -> list[list[Place]]:
        """The highest pools without a vent, in the same way."""
        served = {opening.pool for opening in self.openings if opening.vents}
        return [
            pools for pools in self._last([(low, high) for high, low in self.down]) if not served.intersection(pools)
        ]

    @cached_property
    def _in_rings(self) -> bool:
        """Whether its ways lead downhill in a ring, which comes from moves that contradict each other."""
        onward: dict[Place, list[Place]] = {}
        for high, low in self.down:
            onward.setdefault(high, []).append(low)
        try:
            TopologicalSorter(onward).prepare()
        except CycleError:
            return True
        return False

    def _last(self, arcs: list[tuple[Place, Place]]) -> list[list[Place]]:
        """The pools that no arc leads on from: the sinks of the graph with its rings drawn together.

        Water at any place runs downhill until it gets there; air rises to those of the arcs turned round.
        """
        if not self._in_rings:
            further = {here for here, _ in arcs}
            return [[pool] for pool in self.pools if pool not in further]
        graph = nx.DiGraph(arcs)
        graph.add_nodes_from(self.pools)
        drawn = nx.condensation(graph)
        return [sorted(drawn.nodes[n]["members"]) for n in drawn if drawn.out_degree(n) == 0]
