"""The pieces that are worked on: what is shut around a section, and what is opened in it, in which order."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from ..model.hookup import Component, Hookup
from .heights import Heights
from .lineups import Lineups, normal, path_between, shut_in
from .liquid_ways import Inside, inside
from .openings import wanting
from .saying import way
from .sections import Opening, Place, Section, Sections
from .spots import find_spot

_CONNECTIONS = ("supply", "return")


@dataclass(slots=True)
class Piece:
    """A section that can be shut in, with what is opened to drain and to vent it, and what that leaves behind.

    `shutoffs`: those of its supply first; `opening` has them in the order in which they are opened. `drains` and
    `vents` from the highest to the lowest, as far as the file tells; `lowest` is the drain that surely lies below all
    others. `self_vents` need no hand. `trapped` and `airless`: the low points without a drain, the high points without
    a vent, in words. `cocks`: the valves of gauges and the like, which stand open. `hot_f`: the highest temperature
    that its services are designed for. `open_to`: the way to a main or to another coil that no shutoff bars, empty if
    it is shut in. `fed_by`: the shutoffs that, opened alone, let in the coil's own service and nothing else. `meets`:
    the services that stand in the coil once the shutoffs stand as they normally do, if there are two or more.
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
    liquid: Inside | None = None
    lowest: Component | None = None
    opening: tuple[Component, ...] = ()
    self_vents: tuple[Component, ...] = ()
    cocks: tuple[Component, ...] = ()
    hot_f: float | None = None
    holds_glycol: bool = False

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
    heights = sections.once(Heights)
    unknown = {c.id for c in sections.levels_unknown}
    known = not any(c.id in unknown for c in section.coils)
    low = wanting(section, "low") if known else []
    high = wanting(section, "high") if known else []
    by_hand = [o for o in section.openings if not o.through.kind.can("vents by itself")]
    drains = [o for o in by_hand if o.drains]
    lowest = (o for o in drains if all(heights.is_below(o.pool, other.pool) for other in drains))
    inside_it = dict.fromkeys(c.service for c in section.components if c.service in hookup.services)
    services = [hookup.services[name] for name in inside_it]
    return Piece(
        section,
        coil,
        tuple(around.values()),
        _opened(drains, heights),
        _opened([o for o in by_hand if o.vents and not o.drains], heights),
        _pumps(sections, section),
        tuple(c for c in section.components if c.kind.can("controls")),
        _spots(hookup, section, low, high=False),
        _spots(hookup, section, high, high=True),
        low,
        known,
        liquid=inside(hookup, sections, section),
        lowest=next((o.through for o in lowest), None),
        opening=opened_in_order(hookup, sections, list(around.values())),
        self_vents=tuple(o.through for o in section.openings if o.through.kind.can("vents by itself")),
        cocks=tuple(v for v, _ in section.valves if v.role not in ("", "drain", "vent") and not v.closed),
        hot_f=max((s.high_f for s in services if s.high_f is not None), default=None),
        holds_glycol=any("glycol" in s.fluid for s in services),
    )


def opened_in_order(hookup: Hookup, sections: Sections, valves: list[Component]) -> tuple[Component, ...]:
    """First the valve of an expansion tank, so that what warms up has room; last what leads back to a main."""

    def turn(valve: Component) -> int:
        beyond = [sections.of(sections.place(valve.id, port)) for port, *_ in sections.neighbours[valve.id]]
        if any(one.is_stub and any(end.kind.group == "equipment" for end in one.ends) for one in beyond):
            return 0
        if any(_is_return(sections, main) for one in beyond for main in one.mains):
            return 3
        line = hookup.lines.get(valve.line)
        return 2 if line is not None and line.word == "return" else 1

    order = {c.id: n for n, c in enumerate(hookup.components())}
    return tuple(sorted(valves, key=lambda valve: (turn(valve), order[valve.id])))


def _is_return(sections: Sections, main: Component) -> bool:
    """Whether liquid only runs into a main from the lines of the file."""
    return all(back == "out" for _, _, back, _ in sections.neighbours[main.id])


def _pumps(sections: Sections, section: Section) -> tuple[Component, ...]:
    """The pumps in a section and right behind its shutoffs: they run against shut valves."""
    found = {c.id: c for c in section.components if c.kind.can("pumps")}
    for valve, _ in section.valves:
        for port, _, _, _ in sections.neighbours[valve.id]:
            beyond = sections.of(sections.place(valve.id, port))
            found |= {c.id: c for c in beyond.components if c.kind.can("pumps")}
    return tuple(found.values())


def _opened(openings: list[Opening], heights: Heights) -> tuple[Component, ...]:
    """What is opened, the highest first."""
    ordered = sorted(openings, key=lambda o: heights.rank(o.pool))[::-1]  # of alike, the first of the file is last
    return tuple({o.through.id: o.through for o in ordered}.values())


def _spots(hookup: Hookup, section: Section, pools: list[list[Place]], *, high: bool) -> tuple[str, ...]:
    which = [[at for pool in some for at in section.pools[pool]] for some in pools]
    return tuple(find_spot(places, "high" if high else "low", hookup).words.replace("`", "") for places in which)


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
