"""What keeps two services apart in a lineup: how many shut valves, with a bleed between them, and which."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

import networkx as nx

from ..model.hookup import Component
from .lineups import Standing, path_between
from .network import Network, carried_by

#: More than any number of valves in a hookup: the capacity of what no valve can part.
_SOLID = 10**9


@dataclass(frozen=True, slots=True)
class Apart:
    """What stands between two services.

    `path` is the way with the fewest shut valves, mains first and last, empty if no pipe joins the two at all; `valves`
    are the shut ones on it. `parting` are the fewest valves that part the two when shut, None if no valves do.
    `bled`: every way between the two crosses a drain or vent between two shut valves. `blind`: every way crosses a
    shut blind, or a spool that is out, which needs no bleed.
    """

    first: str
    second: str
    path: tuple[str, ...]
    valves: tuple[Component, ...]
    parting: tuple[Component, ...] | None
    bled: bool
    blind: bool = False


def services_of(net: Network) -> list[str]:
    """The services that mains bring, in the order of the file."""
    return list(dict.fromkeys(carried_by(main) for mains in net.mains.values() for main in mains))


def all_apart(standing: Standing) -> list[Apart]:
    """Every pair of services of a hookup."""
    return [apart(standing, *pair) for pair in combinations(services_of(standing.network), 2)]


def apart(standing: Standing, first: str, second: str) -> Apart:
    """What keeps two services apart in a lineup."""
    net = standing.network
    a, b = (_mains(net, service) for service in (first, second))
    path = path_between(net, a, set(b), standing.shut & net.pieces_of.keys())
    if not path:
        return Apart(first, second, (), (), (), False)
    valves = tuple(net.components[id] for id in path if id in standing.shut and id in net.pieces_of)
    parting = least_parting(net, {net.home[id] for id in a}, {net.home[id] for id in b})
    blind = any(valve.kind.can("blinds") for valve in valves)
    return Apart(first, second, path, valves, parting, _is_bled(standing, a, b), blind)


def _mains(net: Network, service: str) -> list[str]:
    return [main.id for mains in net.mains.values() for main in mains if carried_by(main) == service]


def least_parting(
    net: Network, first: set[int], second: set[int], cost: Callable[[Component], int] | None = None
) -> tuple[Component, ...] | None:
    """The isolation valves of least cost that part some pieces from others when shut; None if none do.

    Without a cost they are the fewest, those that are normally closed before others. A minimum cut: each valve is an
    edge from its inlet to its outlet, each piece a node that nothing parts.
    """
    cost = cost or (lambda valve: 1000 if valve.closed else 1001)
    if first & second:
        return None
    graph: nx.DiGraph[object] = nx.DiGraph()
    for valve, pieces in net.pieces_of.items():
        graph.add_edge((valve, "in"), (valve, "out"), capacity=cost(net.hookup.component(valve)))
        for piece in pieces:
            graph.add_edge(piece, (valve, "in"), capacity=_SOLID)
            graph.add_edge((valve, "out"), piece, capacity=_SOLID)
    for piece in first:
        graph.add_edge("first", piece, capacity=_SOLID)
    for piece in second:
        graph.add_edge(piece, "second", capacity=_SOLID)
    _, (near, _) = nx.minimum_cut(graph, "first", "second")
    cut = [v for v in net.valves if (v.id, "in") in near and (v.id, "out") not in near]
    return tuple(cut)


def _is_bled(standing: Standing, a: list[str], b: list[str]) -> bool:
    """Whether no way leads from one to the other round all pieces that have a drain or vent between shut valves.

    Openings themselves count, so that a bleed still has to be opened; what lies open to a main is no bleed.
    """
    net, group = standing.network, standing.group
    bleeds = {group[number] for number, piece in enumerate(net.pieces) if piece.openings} - standing.carries.keys()
    beside: dict[int, set[int]] = {}
    for valve in standing.shut & net.pieces_of.keys():
        if net.components[valve].kind.can("blinds"):
            continue  # nothing gets past it
        sides = {group[piece] for piece in net.pieces_of[valve]}
        for side in sides:
            beside.setdefault(side, set()).update(sides)
    goals = {group[net.home[id]] for id in b}
    queue = deque({group[net.home[id]] for id in a})
    seen = set(queue)
    while queue:
        at = queue.popleft()
        if at in goals:
            return False
        for other in beside.get(at, ()):
            if other not in seen and other not in bleeds:
                seen.add(other)
                queue.append(other)
    return True
