"""Lineups worked out: every valve's position, which service stands in every part, what flows, each coil's way."""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass
from functools import cached_property
from heapq import heapify, heappop, heappush

from ..model.hookup import Component, Hookup, Lineup
from .flow import Flow, Way
from .network import Network, carried_by, is_settable
from .sections import Sections

#: As many shut valves as a shut blind stands for: more than there are on any way.
_BLIND = 1_000_000
#: What it is called when a file writes no lineup, and the one that every lineup starts from.
NORMAL = "normal"


@dataclass(frozen=True, slots=True)
class CoilWay:
    """A way from a supply to a return main through a coil: component ids in flow order, mains first and last.

    `backward`: it goes through the coil from its return to its supply connection.
    """

    path: tuple[str, ...]
    backward: bool


class Standing:
    """What stands and flows where with some valves shut.

    `shut` holds ids of isolation valves and of other valves that a lineup shuts. Only isolation valves keep liquids
    apart: a shut control or check valve leaks, so the liquid on its two sides is the same.
    """

    def __init__(self, net: Network, shut: Set[str]) -> None:
        self.network = net
        self.shut = frozenset(shut)
        self.group = _groups(net, self.shut)
        self.carries: dict[int, tuple[str, ...]] = {}  # services by group, in the order of their mains
        for piece, mains in net.mains.items():
            have = self.carries.get(self.group[piece], ())
            self.carries[self.group[piece]] = tuple(dict.fromkeys((*have, *map(carried_by, mains))))
        for piece, service in _loops(net):
            have = self.carries.get(self.group[piece], ())
            self.carries[self.group[piece]] = tuple(dict.fromkeys((*have, service)))
        self._flows: dict[str, Flow] = {}

    def standing(self, id: str) -> tuple[str, ...]:
        """The services that stand in a component; none: shut in. Of a shut valve, those of both its sides."""
        found = [self.carries.get(self.group[piece], ()) for piece in self.network.sides(id)]
        return tuple(dict.fromkeys(service for services in found for service in services))

    @cached_property
    def shut_chains(self) -> frozenset[int]:
        """The chains that no flow passes."""
        settable = self.network.settable
        return frozenset(settable[id] for id in self.shut if id in settable)

    def flow(self, service: str = "") -> Flow:
        """What flows, of one service or of all."""
        if service not in self._flows:
            component = self.network.hookup.component
            served = (lambda main: carried_by(component(main)) == service) if service else None
            self._flows[service] = Flow(self.network, self.shut_chains, served)
        return self._flows[service]

    def flowing(self, id: str) -> tuple[bool, int]:
        """Whether a part flows, and its direction: 1 with the arrow of its line, -1 against, 0 if that is not settled
        or it is a junction, where several ways meet."""
        net, directions = self.network, self.flow().directions()
        if id in net.loop_pumps:
            return any(id in (net.chains[n].main_a, net.chains[n].main_b) for n in directions), 1
        if id in net.chain_of:
            number = net.chain_of[id]
            return number in directions, directions.get(number, 0) * net.chains[number].arrow
        return any(number in directions for number in net.at.get(id, ())), 0

    def coil_way(self, coil: str, service: str) -> CoilWay | None:
        """A coil's way from a supply to a return main of a service, against its arrow only if there is no other.

        Raises TimeoutError if the pipes are too tangled to tell.
        """
        number = self.network.chain_of.get(coil)
        if number is None:
            return None
        step = next(s for s in self.network.chains[number].steps if s.id == coil)
        forward = 1 if step.into == "supply" else -1
        for way in (forward, -forward):
            found = self.flow(service).through(number, way)
            if found is not None:
                return CoilWay(_path(self.network, found), way != forward)
        return None


def _groups(net: Network, shut: Set[str]) -> list[int]:
    """The pieces joined through open valves, as a group number for each piece."""
    group = list(range(len(net.pieces)))

    def root(piece: int) -> int:
        while group[piece] != piece:
            group[piece] = group[group[piece]]
            piece = group[piece]
        return piece

    for valve, pieces in net.pieces_of.items():
        if valve not in shut:
            for piece in pieces[1:]:
                a, b = sorted((root(pieces[0]), root(piece)))
                group[b] = a
    return [root(piece) for piece in range(len(group))]


def _loops(net: Network) -> Iterable[tuple[int, str]]:
    """The pieces of coils that no main reaches even with every valve open, and what the coils are on: closed loops."""
    if all(net.home[coil] in net.mains for coil in net.hookup.coils if coil in net.home):
        return
    group = _groups(net, frozenset())
    fed = {group[piece] for piece in net.mains}
    for coil, facts in net.hookup.coils.items():
        if coil in net.home and group[net.home[coil]] not in fed:
            yield net.home[coil], facts.service


def _path(net: Network, way: Way) -> tuple[str, ...]:
    """The components of a way, in flow order."""
    ids: list[str] = []
    for number, sense in way:
        chain = net.chains[number]
        ends = [chain.main_a or chain.a, *(step.id for step in chain.steps), chain.main_b or chain.b]
        ids.extend(ends if sense == 1 else reversed(ends))
    return tuple(dict.fromkeys(ids)) if ids and ids[0] != ids[-1] else (*dict.fromkeys(ids), *ids[-1:])


# -- the lineups of a hookup -------------------------------------------------------------------------------------------


def shut_in(net: Network, lineup: Lineup) -> frozenset[str]:
    """The ids of the valves that are shut in a lineup: those it names, the others as they normally stand.

    A valve that it both opens and shuts counts as shut; a rule finds it.
    """
    opened, closed = {tag for tag, _ in lineup.open}, {tag for tag, _ in lineup.closed}
    shut = {v.id for v in net.valves if (v.closed and v.tag not in opened) or v.tag in closed}
    return (
        frozenset(shut | {id for id in net.settable if net.components[id].tag in closed}) if closed else frozenset(shut)
    )


def normal(hookup: Hookup) -> Lineup:
    """Every valve as it normally stands, every coil on its own service."""
    expect = tuple((tag, facts.service, facts.span) for tag, facts in hookup.coils.items())
    return Lineup(NORMAL, (), (), expect, hookup.span)


def lineups_of(hookup: Hookup) -> tuple[Lineup, ...]:
    """The lineups that a file writes; if there are none, the normal one."""
    return hookup.lineups or (normal(hookup),)


class Lineups:
    """The lineups of one hookup, each worked out once for all that set the same positions."""

    def __init__(self, hookup: Hookup, sections: Sections) -> None:
        self.network = Network(hookup, sections)
        self._known: dict[frozenset[str], Standing] = {}

    def stand(self, lineup: Lineup) -> Standing:
        """A lineup worked out."""
        return self.with_shut(shut_in(self.network, lineup))

    def with_shut(self, shut: frozenset[str]) -> Standing:
        """What stands and flows with some valves shut, by id, and all others open."""
        if shut not in self._known:
            self._known[shut] = Standing(self.network, shut)
        return self._known[shut]


def worked_out(hookup: Hookup, sections: Sections) -> Lineups:
    """The lineups of a hookup, made once for one hookup's sections."""
    return sections.once(Lineups)


def contradictions(lineup: Lineup) -> set[str]:
    """The tags that a lineup both opens and shuts."""
    return {tag for tag, _ in lineup.open} & {tag for tag, _ in lineup.closed}


def path_between(net: Network, starts: Iterable[str], goals: Set[str], shut: Set[str]) -> tuple[str, ...]:
    """The way with the fewest shut valves on it between two sets of components, the shortest of those, as ids; empty if
    nothing joins them. Ends excepted, it goes through no main, and through a shut blind only if every way does."""
    came: dict[str, str] = {}
    best = dict.fromkeys(starts, (0, 0))
    queue = [(0, 0, id) for id in best]
    heapify(queue)
    first = set(best)
    while queue:
        valves, hops, at = heappop(queue)
        if (valves, hops) > best[at]:
            continue
        if at in goals:
            path = [at]
            while path[-1] in came:
                path.append(came[path[-1]])
            return tuple(reversed(path))
        if net.components[at].kind.ports == "main" and at not in first:
            continue
        for _, other, _, _ in net.neighbours[at]:
            weight = (_BLIND if net.components[other].kind.can("blinds") else 1) if other in shut else 0
            cost = (valves + weight, hops + 1)
            if other not in best or cost < best[other]:
                best[other] = cost
                came[other] = at
                heappush(queue, (*cost, other))
    return ()


def valves_on(net: Network, path: Iterable[str]) -> list[Component]:
    """The valves on a path that a lineup can open or shut."""
    return [c for c in (net.components[id] for id in path) if is_settable(c)]
