"""Filling, draining, testing and locking out one coil: which valves, in which order, and what the graph says of it.

Each of the four is a lineup that the tool works out: the shutoffs around the coil's section are shut, its drains and
vents stand as the work needs them, and every other valve of the hookup is taken as open, which is the worst that can
be met. The result is then checked as any lineup is.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import networkx as nx

from ..model.hookup import Component, Hookup
from .drainage import wanting
from .isolation import way
from .lineups import Lineups, normal, path_between, shut_in
from .sections import Opening, Place, Section, Sections
from .spots import find_spot

_CONNECTIONS = ("supply", "return")


@dataclass(slots=True)
class Piece:
    """A section that can be shut in, with what is opened to drain and to vent it, and what that leaves behind.

    `shutoffs`: those of its supply first. `vents` from the highest to the lowest; one above another only as far as the
    moves of the file tell. `trapped` and `airless`: the low points without a drain, the high points without a vent, in
    words. `open_to`: the way to a main or to another coil that no shutoff bars, empty if it is shut in. `fed_by`: the
    shutoffs that, opened alone, let in the coil's own service and nothing else. `meets`: the services that stand in the
    coil once the shutoffs stand as they normally do, if there are two or more.
    """

    section: Section
    coil: Component | None
    shutoffs: tuple[Component, ...]
    drains: tuple[Component, ...]
    vents: tuple[Component, ...]
    pumps: tuple[Component, ...]
    controls: tuple[Component, ...]
    trapped: tuple[str, ...] = ()
    airless: tuple[str, ...] = ()
    trapped_pools: list[list[Place]] = field(default_factory=list)
    levels_known: bool = True
    open_to: str = ""
    fed_by: tuple[Component, ...] = ()
    meets: tuple[str, ...] = ()

    def name(self) -> str:
        """How lists call it."""
        return self.section.name().replace("`", "")


def coil_piece(hookup: Hookup, sections: Sections, lineups: Lineups, coil: str) -> Piece | None:
    """The section of a coil; None if the coil is joined to nothing."""
    component = hookup.component(coil)
    number = lineups.network.home.get(coil)
    if number is None or not sections.neighbours[coil]:
        return None
    legs = [v for port in ("supply", "return") for v, _, _ in sections.leg(coil, port).valves]
    piece = _piece(hookup, sections, sections.all[number], component, legs)
    piece.open_to = _open_to(hookup, lineups, piece)
    usual = shut_in(lineups.network, normal(hookup))
    around = {v.id for v in piece.shutoffs}
    piece.fed_by = tuple(
        v for v in piece.shutoffs if lineups.with_shut(usual | around - {v.id}).standing(coil) == (component.service,)
    )
    stands = lineups.with_shut(usual).standing(coil)
    piece.meets = stands if len(stands) > 1 else ()
    return piece


def without_taps(hookup: Hookup, sections: Sections, piece: Piece, coils: tuple[Component, ...]) -> Piece:
    """The piece while some of its coils are blanked off, each with a jumper in its place: what hangs on the coils' own
    taps cannot be opened."""
    off: set[str] = set()
    onward = [other for coil in coils for port, other, _, _ in sections.neighbours[coil.id] if port not in _CONNECTIONS]
    while onward:
        at = onward.pop()
        if at not in off and not any(at == coil.id for coil in coils):
            off.add(at)
            onward += [other for _, other, _, _ in sections.neighbours[at]]
    section = replace(
        piece.section,
        components=[c for c in piece.section.components if c.id not in off],
        openings=[o for o in piece.section.openings if o.through.id not in off],
    )
    made = _piece(hookup, sections, section, piece.coil, list(piece.shutoffs))
    return replace(made, open_to=piece.open_to, fed_by=piece.fed_by, meets=piece.meets)


def other_pieces(hookup: Hookup, sections: Sections) -> list[Piece]:
    """The sections without a coil that can be shut in: neither open to a main, nor the far side of a drain or vent."""
    found = []
    for section in sections.all:
        if section.components and not section.coils and not section.mains and not section.is_stub:
            found.append(_piece(hookup, sections, section, None, [v for v, _ in section.valves]))
    return found


def _piece(
    hookup: Hookup, sections: Sections, section: Section, coil: Component | None, valves: list[Component]
) -> Piece:
    around = {v.id: v for v in [*valves, *(v for v, _ in section.valves)] if not v.role}
    heights = _heights(section)
    unknown = {c.id for c in sections.levels_unknown}
    known = not any(c.id in unknown for c in section.coils)
    low = wanting(section, "low") if known else []
    high = wanting(section, "high") if known else []
    return Piece(
        section,
        coil,
        tuple(around.values()),
        _opened([o for o in section.openings if o.drains], heights),
        _opened([o for o in section.openings if o.vents and not o.drains], heights),
        _pumps(sections, section),
        tuple(c for c in section.components if c.kind.can("controls")),
        _spots(hookup, section, low, high=False),
        _spots(hookup, section, high, high=True),
        low,
        known,
    )


def _pumps(sections: Sections, section: Section) -> tuple[Component, ...]:
    """The pumps in a section and right behind its shutoffs: they run against shut valves."""
    found = {c.id: c for c in section.components if c.kind.can("pumps")}
    for valve, _ in section.valves:
        for port, _, _, _ in sections.neighbours[valve.id]:
            beyond = sections.of(sections.place(valve.id, port))
            found |= {c.id: c for c in beyond.components if c.kind.can("pumps")}
    return tuple(found.values())


def _opened(openings: list[Opening], heights: dict[Place, int]) -> tuple[Component, ...]:
    """What is opened, the highest first."""
    ordered = sorted(openings, key=lambda o: heights.get(o.pool, 0))[::-1]  # of alike, the first of the file is last
    return tuple({o.through.id: o.through for o in ordered}.values())


def _spots(hookup: Hookup, section: Section, pools: list[list[Place]], *, high: bool) -> tuple[str, ...]:
    which = [[at for pool in some for at in section.pools[pool]] for some in pools]
    return tuple(find_spot(places, "high" if high else "low", hookup).words.replace("`", "") for places in which)


def _heights(section: Section) -> dict[Place, int]:
    """How many level changes a pool lies above the lowest below it; pools in a ring of moves count as one."""
    if not section.down:
        return {}
    graph: nx.DiGraph[Place] = nx.DiGraph(section.down)
    drawn = nx.condensation(graph)
    height: dict[int, int] = {}
    for node in reversed(list(nx.topological_sort(drawn))):
        height[node] = max((height[below] + 1 for below in drawn.successors(node)), default=0)
    return {pool: height[node] for node in drawn for pool in drawn.nodes[node]["members"]}


def _open_to(hookup: Hookup, lineups: Lineups, piece: Piece) -> str:
    """With the shutoffs shut, the drains and vents open and everything else open: is the coil cut off?

    Asked of the lineup engine, which knows nothing of how the shutoffs were found.
    """
    assert piece.coil is not None
    coil = piece.coil.id
    net = lineups.network
    shut = frozenset(v.id for v in piece.shutoffs)
    standing = lineups.with_shut(shut)
    others = {c for c in hookup.coils if c != coil and c in net.home}
    mains = {main.id for mains in net.mains.values() for main in mains}
    reached = {id for id in mains | others if standing.group[net.home[id]] == standing.group[net.home[coil]]}
    if not reached:
        return ""
    return way(hookup, path_between(net, [coil], reached, shut)).replace("`", "")


# -- the work, step by step --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Task:
    """One step: what is done, to what, and what to look for. `bad`: the hookup does not allow it as it should.
    `by_kind`: things without tag are wanted by their kind, not by their place."""

    do: str
    things: tuple[Component, ...] = ()
    look: str = ""
    bad: bool = False
    by_kind: bool = False


def _shut(piece: Piece) -> list[Task]:
    tasks = [Task("stop the pump", piece.pumps, "it must not run against shut valves")] if piece.pumps else []
    if piece.open_to:
        return [*tasks, Task("stop here", (), f"no shutoff bars the way {piece.open_to}", True)]
    tasks += [Task("shut", (valve,)) for valve in piece.shutoffs]
    return tasks


def _drive_open(piece: Piece, held: str) -> list[Task]:
    """Control valves let through what is behind them; a three-way one shuts a port at either end of its stroke."""
    three_way = tuple(c for c in piece.controls if c.kind.ports == "three-way")
    others = tuple(c for c in piece.controls if c not in three_way)
    tasks = [Task("drive open", others, f"shut, it {held}")] if others else []
    return [*tasks, Task("drive half open", three_way, f"at either end it {held}")] if three_way else tasks


def _let_out(piece: Piece) -> list[Task]:
    """Vents, then drains."""
    tasks = [Task("open vent", (vent,), "slowly: it may be under pressure") for vent in piece.vents]
    if not piece.vents:
        tasks.append(Task("let air in", (), "no vent: it empties no faster than air gets in by the drain", True))
    tasks += [Task("open drain", (drain,), "to a hose or a container") for drain in piece.drains]
    if not piece.drains:
        tasks.append(Task("cannot drain", (), "no drain in it", True))
    if not piece.levels_known:
        tasks.append(Task("cannot tell", (), "the coil's block does not say which connection is low"))
    tasks += [Task("stays full", (), f"the low point {spot}", True) for spot in piece.trapped]
    return tasks


def drain(piece: Piece) -> list[Task]:
    """Empty it: shutoffs, the highest vent first, then the drains, and what is left in it afterwards."""
    tasks = _shut(piece)
    if piece.open_to:
        return tasks
    tasks += _drive_open(piece, "holds back what stands behind it")
    tasks += _let_out(piece)
    if piece.coil is not None:
        look = "tubes do not drain empty: blow out, or circulate inhibited glycol, before winter"
        tasks.append(Task("then", (piece.coil,), look))
    return tasks


def fill(piece: Piece) -> list[Task]:
    """Fill it from its lowest drain with the vents open, then put it back on its mains."""
    tasks = _shut(piece)
    if piece.open_to:
        return tasks
    tasks += _drive_open(piece, "holds air behind it")
    tasks += let_in(piece)
    if piece.meets:
        tasks.append(Task("stop here", (), f"with the shutoffs open {' meets '.join(piece.meets)}", True))
        return tasks
    tasks += [Task("open", (valve,)) for valve in piece.shutoffs if not valve.closed]
    if piece.vents:
        tasks.append(Task("vent again", piece.vents, "after the pump has run"))
    return tasks


def let_in(piece: Piece) -> list[Task]:
    """Liquid into a piece that is shut in: vents open, at its lowest drain, until it is full and shut all round."""
    tasks = [Task("shut drain", (drain,)) for drain in piece.drains[:-1]]
    tasks += [Task("open vent", (vent,)) for vent in piece.vents]
    if not piece.vents:
        tasks.append(Task("cannot vent", (), "no vent in it: air stays", True))
    tasks += [Task("air stays", (), f"the high point {spot}", True) for spot in piece.airless]
    if piece.drains:
        tasks.append(Task("fill slowly at", piece.drains[-1:], "its lowest drain"))
    elif piece.fed_by:
        tasks.append(
            Task("fill slowly at", piece.fed_by[:1], "no drain: by its own main, the shutoff a crack open", True)
        )
    else:
        tasks.append(Task("cannot fill", (), "no drain, and no shutoff that lets in its own service alone", True))
    tasks += [Task("shut vent", (vent,), "when liquid comes without air") for vent in reversed(piece.vents)]
    return tasks + [Task("shut drain", (drain,)) for drain in piece.drains[-1:]]


def lock_out(piece: Piece) -> list[Task]:
    """Cut it off from everything, lock it, let the pressure out, and prove that none is left.

    A control valve that is shut hides the pressure behind it from every drain and vent on its other side.
    """
    tasks = _shut(piece)
    if piece.open_to:
        return tasks
    tasks.append(Task("lock and tag", piece.shutoffs, "each with the lock of whoever works on it"))
    tasks += _drive_open(piece, "holds pressure behind it: leave it open until all is proved")
    tasks += _let_out(piece)
    proof = piece.drains or piece.vents
    if proof:
        while_open = ", and the control valve too" if piece.controls else ""
        look = f"open{while_open}, and nothing comes: no pressure is left, the shutoffs hold"
        tasks.append(Task("prove", proof, look))
    else:
        look = "nothing can be opened to see that no pressure is left: open no joint, unless it was never filled"
        tasks.append(Task("cannot prove", (), look, True))
    return tasks
