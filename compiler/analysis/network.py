"""A hookup drawn together for lineups: pieces between isolation valves, and chains between junctions.

Pieces (the sections) say where a liquid can spread; chains say where it can flow. Both are worked out once for a
hookup; a lineup is then a set of shut valves over them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from ..model.hookup import Component, Hookup
from .legs import LEGS
from .sections import Sections
from .water import legs

#: The ends of every way: where liquid comes from (supply mains) and where it goes to (return mains).
SOURCE, SINK = "source", "sink"
#: Valves that a lineup can shut. Only those that isolate keep two liquids apart.
SETTABLE = frozenset(("isolates", "throttles", "controls", "balances"))


class Step(NamedTuple):
    """A component on a chain, with the ports by which a walk from `a` to `b` comes in and goes out."""

    id: str
    into: str
    out: str


@dataclass(slots=True)
class Chain:
    """What stands between two junctions, in order from `a` to `b`; these are components' ids, `SOURCE` or `SINK`.

    `arrow`: 1 if its lines are written from `a` to `b`, -1 from `b` to `a`, 0 if partly this and partly that.
    `one_way`: 1 or -1 if a check valve, pump or three-way valve lets pass only that way, 2 if nothing passes, else 0.
    """

    a: str
    b: str
    main_a: str  # the main (or loop pump) behind a SOURCE or SINK at that end, else empty
    main_b: str
    steps: list[Step]
    arrow: int
    one_way: int

    def other(self, node: str) -> str:
        """The other end."""
        return self.b if node == self.a else self.a

    def passes(self, way: int) -> bool:
        """Whether flow can pass from `a` to `b` (1) or back (-1), valves aside."""
        return self.one_way in (0, way)


class Network:
    """See the module.

    `pieces_of[valve]` are the sections on an isolation valve's sides, `home[component]` the section that anything else
    lies in; `chain_of` tells the chain of what stands inside one, `at` the chains that meet in a junction, and
    `settable` the chain of each valve that can be shut. A component that none of these names is a dead end for good.
    """

    def __init__(self, hookup: Hookup, sections: Sections) -> None:
        self.hookup = hookup
        self.components = {c.id: c for c in hookup.components()}
        self.pieces = sections.all
        self.neighbours = sections.neighbours
        self.home: dict[str, int] = {}
        self.pieces_of: dict[str, list[int]] = {}
        self.mains: dict[int, list[Component]] = {}  # by piece
        for number, section in enumerate(sections.all):
            for component in section.components:
                self.home[component.id] = number
                if component.kind.ports == "main":
                    self.mains.setdefault(number, []).append(component)
            for valve, _ in section.valves:
                self.pieces_of.setdefault(valve.id, []).append(number)
        #: All isolation valves, in the order of the file.
        self.valves = [c for c in self.components.values() if c.id in self.pieces_of]
        #: Pumps of loops without a main: each stands for a supply main and a return main.
        self.loop_pumps = _loop_pumps(self)
        self.main_sides = _sides(hookup, sections)
        self.chains: list[Chain] = []
        self.chain_of: dict[str, int] = {}
        self.at: dict[str, list[int]] = {}
        _find_chains(self)
        self.settable = {
            step.id: number
            for number, chain in enumerate(self.chains)
            for step in chain.steps
            if is_settable(self.components[step.id])
        }

    def sides(self, id: str) -> list[int]:
        """The pieces that a component lies in or stands between."""
        return self.pieces_of.get(id) or [self.home[id]]


def carried_by(main: Component) -> str:
    """What a main brings: its service, or words that name the main where nobody knows."""
    return main.service or f"unknown: main {main.tag}"


def is_settable(component: Component) -> bool:
    """Whether a lineup can open or shut it."""
    return component.kind.can_any(SETTABLE)


def inflow(component: Component, port: str) -> int:
    """1 if liquid can only come in by a port, -1 if it can only go out, 0 if it may do either.

    A three-way valve of which nothing is said mixes.
    """
    if component.kind.can("checks") or component.kind.can("pumps"):
        return 1 if port == "in" else -1
    if component.kind.ports == "three-way" and component.kind.can("controls"):
        diverts = "diverting" in component.remarks
        return 1 if (port == "in" if diverts else port != "out") else -1
    return 0


class _Edge(NamedTuple):
    """A joint, written from `u` to `v`."""

    u: str
    port_u: str
    v: str
    port_v: str
    main_u: str = ""
    main_v: str = ""


def _find_chains(network: Network) -> None:
    """Dead ends are taken off (drains, vents, instruments, open ends); then what lies between junctions is a chain."""
    edges = _edges(network)
    beside: dict[str, list[int]] = {SOURCE: [], SINK: []}
    for number, edge in enumerate(edges):
        beside.setdefault(edge.u, []).append(number)
        beside.setdefault(edge.v, []).append(number)
    todo = [id for id, joined in beside.items() if len(joined) == 1 and id not in (SOURCE, SINK)]
    while todo:
        id = todo.pop()
        for number in beside.pop(id, ()):
            edge = edges[number]
            other = edge.v if edge.u == id else edge.u
            if other in beside:
                beside[other].remove(number)
                if len(beside[other]) == 1 and other not in (SOURCE, SINK):
                    todo.append(other)
    network.at = {id: [] for id, joined in beside.items() if id in (SOURCE, SINK) or len(joined) > 2}
    walked: set[int] = set()
    for start in network.at:
        for number in beside[start]:
            if number not in walked:
                _add_chain(network, edges, beside, walked, start, number)


def _add_chain(
    network: Network, edges: list[_Edge], beside: dict[str, list[int]], walked: set[int], start: str, number: int
) -> None:
    """Walk from a junction over one of its joints to the next junction."""
    components = network.components
    at, steps, arrows, limits = start, list[Step](), set[int](), set[int]()
    into = main_a = main_b = ""
    while True:
        walked.add(number)
        edge = edges[number]
        forward = edge.u == at
        arrows.add(1 if forward else -1)
        left_by = edge.port_u if forward else edge.port_v
        if at == start and not steps:
            main_a = edge.main_u if forward else edge.main_v
        else:
            steps.append(Step(at, into, left_by))
        if at not in (SOURCE, SINK):
            limits.add(-inflow(components[at], left_by))
        at, into = (edge.v, edge.port_v) if forward else (edge.u, edge.port_u)
        if at in (SOURCE, SINK):
            main_b = edge.main_v if forward else edge.main_u
            break
        limits.add(inflow(components[at], into))
        if at in network.at:
            break
        number = next(n for n in beside[at] if n != number)
    limits.discard(0)
    one_way = 0 if not limits else 2 if len(limits) > 1 else limits.pop()
    arrow = arrows.pop() if len(arrows) == 1 else 0
    for step in steps:
        network.chain_of[step.id] = len(network.chains)
    for node in {start, at}:
        network.at[node].append(len(network.chains))
    network.chains.append(Chain(start, at, main_a, main_b, steps, arrow, one_way))


def _edges(network: Network) -> list[_Edge]:
    """The joints, with mains (and the pumps of loops without one) drawn together to SOURCE and SINK."""
    hookup = network.hookup
    ends = {c.id for c in network.components.values() if c.kind.ports == "main"} | network.loop_pumps
    sides = network.main_sides
    edges = []
    for u, v, joint in hookup.joints():
        from_end, to_end = u in ends, v in ends
        if from_end and to_end:
            continue
        edges.append(
            _Edge(
                sides.get(u, SOURCE) if from_end else u,
                joint.port_a,
                sides.get(v, SINK) if to_end else v,
                joint.port_b,
                u if from_end else "",
                v if to_end else "",
            )
        )
    return edges


def _sides(hookup: Hookup, sections: Sections) -> dict[str, str]:
    """Which mains always bring liquid (SOURCE) and which always take it (SINK), however a line on them is written.

    Coils' own legs tell; a main that no coil has and that lines both start from and end at has one pressure all the
    same, and is taken for a source. What coils contradict each other in stays as each line is written.
    """
    told: dict[str, set[str]] = {}
    for both in legs(hookup, sections).values():
        for name, side in zip(LEGS, (SOURCE, SINK), strict=True):
            main = both[name].main
            if main is not None:
                told.setdefault(main.id, set()).add(side)
    sides = {id: min(found) for id, found in told.items() if len(found) == 1}
    for main in sections.coils_and_mains:
        if main.kind.ports == "main" and main.id not in told:
            sides[main.id] = SOURCE if hookup.graph.out_degree(main.id) else SINK
    return sides


def _loop_pumps(network: Network) -> set[str]:
    """The pumps that drive loops with no main: their outlets stand for a supply main, their inlets for a return."""
    found: set[str] = set()
    for pump in network.components.values():
        if not pump.kind.can("pumps"):
            continue
        seen, todo = {pump.id}, [pump.id]
        while todo:
            for _, other, _, _ in network.neighbours[todo.pop()]:
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        if not seen & found and not any(network.components[id].kind.ports == "main" for id in seen):
            found.add(pump.id)
    return found
