"""What several rules ask of a coil: its two legs, which of it is its own, its temperatures, its ring with a pump."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterator, Mapping

from ..catalogue.flow import velocity
from ..model.hookup import CoilFacts, Component, Hookup
from .legs import LEGS, Leg, LegName, is_shutoff, leg_of
from .sections import Sections


def legs(hookup: Hookup, sections: Sections) -> dict[str, dict[LegName, Leg]]:
    """Both legs of every coil that has joints, by coil and name; worked out once for one hookup's sections."""
    return sections.once(_legs)


def _legs(hookup: Hookup, sections: Sections) -> dict[str, dict[LegName, Leg]]:
    return {
        tag: {name: leg_of(hookup, sections, tag, name) for name in LEGS}
        for tag in hookup.coils
        if tag in sections.neighbours
    }


def shared(hookup: Hookup, sections: Sections) -> Counter[str]:
    """How many coils side by side each component serves; counted once for one hookup's sections.

    Coils one behind the other, such as those of a runaround loop, share their water and count once.
    """
    return sections.once(_shared)


def _shared(hookup: Hookup, sections: Sections) -> Counter[str]:
    all_legs = legs(hookup, sections).values()
    return Counter(c.id for both in all_legs for c in both["supply"].way) | Counter(
        c.id for both in all_legs for c in both["return"].way
    )


def is_in_loop(both: Mapping[LegName, Leg]) -> bool:
    """Whether a coil's water comes from another coil and goes to one, as in a runaround loop, and to no main."""
    ends = (both["supply"].way[:1], both["return"].way[-1:])
    return all(end and end[0].kind.ports == "coil" for end in ends)


def tube_velocity(facts: CoilFacts) -> float | None:
    """Feet a second in the tubes of a coil: as said, else from flow, circuits and tubes; None where those are not said.

    Where the wall is not said the outside diameter stands for the bore: the water is then at least that fast.
    """
    if facts.tube_velocity_fps is not None:
        return facts.tube_velocity_fps
    if facts.flow_gpm is None or facts.circuits is None or facts.tubes_in is None:
        return None
    bore = facts.tubes_in - 2 * (facts.tube_wall_in or 0)
    return velocity(facts.flow_gpm / facts.circuits, bore) if bore > 0 else None


def toward_main(leg: Leg, at: int) -> list[Component]:
    """What stands between a place on the way and the main."""
    return leg.way[:at] if leg.name == "supply" else leg.way[at + 1 :]


def toward_coil(leg: Leg, at: int) -> list[Component]:
    """What stands between a place on the way and the coil."""
    return leg.way[at + 1 :] if leg.name == "supply" else leg.way[:at]


def is_behind_shutoff(leg: Leg, at: int) -> bool:
    """Whether a shutoff stands between a place on the way and the main."""
    return any(is_shutoff(c) for c in toward_main(leg, at))


def hanging(hookup: Hookup, sections: Sections, component: Component) -> list[Component]:
    """What leads from an end back to the line it hangs on, nearest first: nipples, cocks, pipe, and last the outlet."""
    string: list[Component] = []
    at, came = component.id, ""
    while True:
        step = next(((other, back) for _, other, back, _ in sections.neighbours[at] if other != came), None)
        if step is None:
            return string
        came, at = at, step[0]
        found = hookup.component(at)
        string.append(found)
        if found.kind.ports != "inline" or step[1] not in ("in", "out"):
            return string


def ends_on(hookup: Hookup, sections: Sections, component: Component) -> list[Component]:
    """The ends that hang on the side of one component of a line, through valves, nipples and tees of the branch."""
    found: list[Component] = []
    if component.kind.ports == "inline" and not component.kind.can("strains"):
        return found
    queue = deque(other for port, other, _, _ in sections.neighbours[component.id] if port in ("branch", "bypass"))
    seen = {component.id}
    while queue:
        at = queue.popleft()
        if at in seen:
            continue
        seen.add(at)
        one = hookup.component(at)
        if one.line != component.line or one.kind.ports in ("coil", "main"):
            continue
        if one.kind.ports == "end":
            found.append(one)
        queue.extend(other for _, other, _, _ in sections.neighbours[at])
    return found


def ring_flow(hookup: Hookup, coil: str, *, with_the_arrows: bool) -> set[str]:
    """The components on the pumped ring of a coil that is left when its control valves shut: from the return nozzle
    with the flow to the supply nozzle, through a pump. Empty if there is none.

    A two-way control valve is shut; a three-way valve that mixes lets through from its bypass only. Without the
    arrows, lines may be walked against the way they are written, but check valves still pass one way only.
    """
    out = _reach(hookup, coil, "return", forward=True, free=not with_the_arrows)
    back = _reach(hookup, coil, "supply", forward=False, free=not with_the_arrows)
    ring = out & back
    return ring if any(hookup.component(id).kind.can("pumps") for id in ring) else set()


def _reach(hookup: Hookup, coil: str, start: str, *, forward: bool, free: bool) -> set[str]:
    seen: set[tuple[str, str]] = set()
    queue: deque[tuple[str, str]] = deque()
    for other, port, back in _steps(hookup, coil, forward, free):
        if port == start:
            queue.append((other, back))
    while queue:
        at, came = queue.popleft()
        component = hookup.component(at)
        if (at, came) in seen or component.kind.ports in ("coil", "main") or component.closed:
            continue
        if component.kind.can("controls") and component.kind.ports != "three-way":
            continue
        seen.add((at, came))
        for other, port, back in _steps(hookup, at, forward, free):
            if _lets(component, came, port) and port != came:
                queue.append((other, back))
    return {id for id, _ in seen}


def _lets(component: Component, came: str, port: str) -> bool:
    """Whether a shut three-way valve still passes from one port to another: its bypass and its common port do."""
    if component.kind.ports != "three-way" or not component.kind.can("controls"):
        return True
    common = "in" if "diverting" in component.remarks else "out"
    return {came, port} == {"bypass", common}


def _steps(hookup: Hookup, at: str, forward: bool, free: bool) -> Iterator[tuple[str, str, str]]:
    """(other, own port, other's port) of the joints that lead on from a component."""
    graph = hookup.graph
    along = graph.out_edges if forward else graph.in_edges
    against = graph.in_edges if forward else graph.out_edges
    checked = hookup.component(at).kind.can("checks")
    for edges, reverse in ((along, False), (against, True)):
        if reverse and (not free or checked):
            continue
        for u, v, data in edges(at, data=True):
            joint = data["joint"]
            first = u == at
            other = v if first else u
            if reverse and hookup.component(other).kind.can("checks"):
                continue
            yield other, joint.port_a if first else joint.port_b, joint.port_b if first else joint.port_a
