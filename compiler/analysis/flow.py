"""Where liquid flows when some valves are shut: a part flows if it lies on a simple way from a supply to a return main.

Those parts are the block (biconnected component) that also holds an edge drawn from all supply mains to all return
mains. Their direction follows from drawing series and parallel chains together; where that does not settle it (a
crossover between two pipes that both come from a supply main) it hangs on the pressures, and nothing is said.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Set

import networkx as nx

from .network import SINK, SOURCE, Network

#: How many steps a search through tangled chains may take before it is given up.
PATIENCE = 5_000

#: A way: chains in order, each with 1 if walked from `a` to `b`, else -1.
Way = list[tuple[int, int]]


class Flow:
    """What flows with some chains shut. `served` picks the mains that count, by the component behind a chain's end."""

    def __init__(self, network: Network, shut: Set[int], served: Callable[[str], bool] | None = None) -> None:
        self.network = network
        self.open = [
            n not in shut and c.one_way != 2 and (served is None or all(served(m) for m in (c.main_a, c.main_b) if m))
            for n, c in enumerate(network.chains)
        ]
        self._directions: dict[int, int] | None = None

    # -- all that flows ------------------------------------------------------------------------------------------

    def directions(self) -> dict[int, int]:
        """The chains that flow: 1 from `a` to `b`, -1 back, 0 if it hangs on the pressures."""
        if self._directions is None:
            self._directions = self._find_directions()
        return self._directions

    def _find_directions(self) -> dict[int, int]:
        chains = self.network.chains
        block = self._block()
        settled = _oriented({n: (chains[n].a, chains[n].b) for n in block})
        found: dict[int, int] = {}
        for number in block:
            chain = chains[number]
            way = settled[number]
            if chain.one_way:
                if chain.one_way != way and self.through(number, chain.one_way) is None and not self._has_pump(block):
                    continue
                way = chain.one_way
            found[number] = way
        return found

    def _has_pump(self, block: list[int]) -> bool:
        """A pump drives rings of its own, such as that of a preheat coil through its mixing valve."""
        component = self.network.hookup.component
        return any(component(step.id).kind.can("pumps") for n in block for step in self.network.chains[n].steps)

    def _block(self) -> list[int]:
        """The chains that lie on some simple way from SOURCE to SINK, whatever lets pass one way only."""
        chains = self.network.chains
        numbers = [n for n, is_open in enumerate(self.open) if is_open and chains[n].a != chains[n].b]
        if all({chains[n].a, chains[n].b} == {SOURCE, SINK} for n in numbers):
            return numbers
        graph: nx.Graph[str] = nx.Graph([(SOURCE, SINK)])
        graph.add_edges_from((chains[n].a, chains[n].b) for n in numbers)
        for edges in nx.biconnected_component_edges(graph):
            pairs = {frozenset(edge) for edge in edges}
            if frozenset((SOURCE, SINK)) in pairs:
                return [n for n in numbers if frozenset((chains[n].a, chains[n].b)) in pairs]
        return []

    # -- one way through a chain ---------------------------------------------------------------------------------

    def through(self, number: int, way: int) -> Way | None:
        """A simple way from SOURCE to SINK that walks a chain from `a` to `b` (1) or back (-1); None if there is none.

        Raises TimeoutError if chains are too tangled to tell.
        """
        chain = self.network.chains[number]
        start, end = (chain.a, chain.b) if way == 1 else (chain.b, chain.a)
        if not self.open[number] or not chain.passes(way) or start in (SINK, end) or end == SOURCE:
            return None
        middle: Way = [(number, way)]
        ahead = self._shortest(start, SOURCE, {end}, -1)
        if ahead is not None:
            behind = self._shortest(end, SINK, {start, *self._nodes(ahead)}, 1)
            if behind is not None:
                return ahead + middle + behind
        for tried, back in enumerate(self._all_back(start, {end})):
            if tried > PATIENCE:
                raise TimeoutError
            behind = None if back is None else self._shortest(end, SINK, {start, *self._nodes(back)}, 1)
            if back is not None and behind is not None:
                return back + middle + behind
        return None

    def _nodes(self, way: Way) -> set[str]:
        return {node for n, _ in way for node in (self.network.chains[n].a, self.network.chains[n].b)}

    def _steps(self, at: str, sense: int) -> Iterator[tuple[int, int, str]]:
        """(chain, way, next junction) for all that leads on from a junction with the flow (1) or against it (-1)."""
        for number in self.network.at[at]:
            chain = self.network.chains[number]
            way = 1 if chain.a == at else -1
            if self.open[number] and chain.passes(way * sense):
                yield number, way * sense, chain.other(at)

    def _shortest(self, start: str, goal: str, barred: Set[str], sense: int) -> Way | None:
        if start == goal:
            return []
        came: dict[str, tuple[str, int, int]] = {}
        queue = deque([start])
        while queue:
            at = queue.popleft()
            for number, way, other in self._steps(at, sense):
                if other == goal:
                    found: Way = [(number, way)]
                    while at != start:
                        at, number, way = came[at]
                        found.append((number, way))
                    return found if sense < 0 else found[::-1]
                if other not in came and other != start and other not in barred and other not in (SOURCE, SINK):
                    came[other] = (at, number, way)
                    queue.append(other)
        return None

    def _all_back(self, start: str, barred: Set[str]) -> Iterator[Way | None]:
        """All simple ways from SOURCE to a junction, found walking back; None for every step that is not there yet."""
        stack: list[tuple[str, frozenset[str], Way]] = [(start, frozenset((start, *barred)), [])]
        while stack:
            at, seen, way = stack.pop()
            if at == SOURCE:
                yield way[::-1]
                continue
            yield None
            for number, sign, other in self._steps(at, -1):
                if other not in seen and other != SINK:
                    stack.append((other, seen | {other}, [*way, (number, sign)]))


class _Drawn:
    """Chains drawn together to one, each with its sense in it."""

    def __init__(self, a: str, b: str, parts: Way) -> None:
        self.a, self.b, self.parts = a, b, parts

    def turned(self) -> _Drawn:
        return _Drawn(self.b, self.a, [(n, -sign) for n, sign in self.parts])

    def starting_at(self, node: str) -> _Drawn:
        return self if self.a == node else self.turned()


def _oriented(ends: dict[int, tuple[str, str]]) -> dict[int, int]:
    """The direction of each chain of a block: 1 from its first to its second end, -1 back, 0 if nothing settles it."""
    drawn = [_Drawn(a, b, [(n, 1)]) for n, (a, b) in ends.items()]
    while True:
        before = len(drawn)
        drawn = _in_series(_in_parallel(drawn))
        if len(drawn) == before:
            break
    found = dict.fromkeys(ends, 0)
    for one in drawn:
        if one.b == SOURCE or one.a == SINK:
            one = one.turned()
        if one.a == SOURCE or one.b == SINK:
            found.update(one.parts)
    return found


def _in_parallel(drawn: list[_Drawn]) -> list[_Drawn]:
    beside: dict[frozenset[str], _Drawn] = {}
    for one in drawn:
        first = beside.setdefault(frozenset((one.a, one.b)), one)
        if first is not one:
            first.parts.extend(one.starting_at(first.a).parts)
    return list(beside.values())


def _in_series(drawn: list[_Drawn]) -> list[_Drawn]:
    """Every junction that only two meet in is drawn out."""
    meeting: dict[str, list[_Drawn]] = {}
    for one in drawn:
        meeting.setdefault(one.a, []).append(one)
        meeting.setdefault(one.b, []).append(one)
    for node, both in meeting.items():
        if node in (SOURCE, SINK) or len(both) != 2 or both[0] is both[1]:
            continue
        first, second = both[0], both[1].starting_at(node)
        if first.a == node:
            first.a, first.b, first.parts = first.b, first.a, [(n, -sign) for n, sign in first.parts]
        if second.b == first.a:
            continue  # a ring; it is drawn together as parallel first
        first.b, first.parts = second.b, first.parts + second.parts
        meeting[second.b] = [first if one is both[1] else one for one in meeting[second.b]]
        both[1].parts = []
    return [one for one in drawn if one.parts]
