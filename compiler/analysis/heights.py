"""Which place lies higher, as far as a file tells: by the places it measures, by its moves, by the ends of a coil.

Unlike the levels of the sections these look through every valve: a shut one and a check valve are level too.
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise

import networkx as nx

from ..model.hookup import Hookup
from .section import Place
from .sections import Sections


class Heights:
    """The places of a hookup as levels, with arcs from a higher one to a lower one.

    Places of one island of measured lengths are compared by their heights; across islands only what rises and falls
    between them tells.
    """

    def __init__(self, hookup: Hookup, sections: Sections) -> None:
        self._split: set[str] = set()
        self._level: nx.utils.UnionFind[Place] = nx.utils.UnionFind()
        arcs = self._arcs(hookup)
        for u, v, joint in hookup.joints():
            self._level.union(self._place(u, joint.port_a), self._place(v, joint.port_b))
        self._graph: nx.DiGraph[Place] = nx.DiGraph()
        for high, low in [*arcs, *self._measured(hookup)]:
            if self._level[high] != self._level[low]:
                self._graph.add_edge(self._level[high], self._level[low])

    def rank(self, place: Place) -> int:
        """A number that is greater for the higher of two places, where the file tells which that is."""
        at = self._drawn_at(place)
        return 0 if at is None else self._ranks[at]

    def is_below(self, low: Place, high: Place) -> bool:
        """Whether one place surely lies below another, or level with it."""
        if self._node(low) == self._node(high):
            return True
        a, b = self._drawn_at(high), self._drawn_at(low)
        return a is not None and b is not None and a != b and nx.has_path(self._drawn, a, b)

    def _arcs(self, hookup: Hookup) -> list[tuple[Place, Place]]:
        arcs: list[tuple[Place, Place]] = []
        for component in hookup.components():
            id = component.id
            if component.kind.ports == "coil":
                self._split.add(id)
                levels = {port.name: port.level for port in hookup.coils[id].ports.values()}
                for role, level in (("drain tap", "low"), ("vent tap", "high")):
                    at = next((name for name, said in levels.items() if said == level), "supply")
                    self._level.union((id, role), (id, at))
                if levels.get("supply") and levels.get("return") and levels["supply"] != levels["return"]:
                    ends = ((id, "supply"), (id, "return"))
                    arcs.append(ends if levels["supply"] == "high" else ends[::-1])
                elif levels.get("supply") and levels.get("return"):
                    self._level.union((id, "supply"), (id, "return"))
            elif component.kind.ports == "main":
                self._split.add(id)  # its taps may lie anywhere
            elif component.pipe is not None and component.pipe.rise:
                self._split.add(id)
                ends = ((id, "out"), (id, "in"))
                arcs.append(ends if component.pipe.rise > 0 else ends[::-1])
        return arcs

    def _measured(self, hookup: Hookup) -> list[tuple[Place, Place]]:
        """From each measured height of an island down to the next."""
        if hookup.measured is None:
            return []
        islands: dict[int, dict[Place, int | float]] = {}
        for (id, port), vector in hookup.measured.marks.items():
            if hookup.component(id).kind.ports != "end":  # what hangs beside a line is not level with it
                heights = islands.setdefault(hookup.measured.islands[id, port], {})
                heights.setdefault(self._level[self._place(id, port)], float(vector[2]))
        arcs: list[tuple[Place, Place]] = []
        for heights in islands.values():
            ordered = sorted(heights, key=lambda level: -heights[level])
            for a, b in pairwise(ordered):
                if heights[a] == heights[b]:
                    self._level.union(a, b)
                else:
                    arcs.append((a, b))
        return arcs

    def _place(self, id: str, port: str) -> Place:
        return (id, port) if id in self._split else (id, "")

    def _node(self, place: Place) -> Place:
        return self._level[self._place(*place)]

    @cached_property
    def _drawn(self) -> nx.DiGraph[int]:
        """Levels in a ring of arcs, which contradict each other, count as one."""
        drawn: nx.DiGraph[int] = nx.condensation(self._graph)
        return drawn

    @cached_property
    def _ranks(self) -> dict[int, int]:
        ranks: dict[int, int] = {}
        for node in reversed(list(nx.topological_sort(self._drawn))):
            ranks[node] = max((ranks[below] + 1 for below in self._drawn.successors(node)), default=0)
        return ranks

    def _drawn_at(self, place: Place) -> int | None:
        mapping: dict[Place, int] = self._drawn.graph["mapping"]
        return mapping.get(self._node(place))
