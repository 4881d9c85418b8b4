"""Lineups worked out: what stands in each coil, what flows through it, services that meet."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import combinations

from ..analysis.apart import least_parting
from ..analysis.lineups import (
    Standing,
    contradictions,
    lineups_of,
    normal,
    path_between,
    shut_in,
    valves_on,
    worked_out,
)
from ..analysis.network import SOURCE
from ..analysis.places import add
from ..analysis.saying import called, ticked, way
from ..analysis.sections import Sections
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup, Lineup
from ..model.mend import Mend
from ..model.span import Span
from .lineup_positions import LINEUP_SOURCES, without
from .mains import carries_unknown
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes
from .services import ports_of

_TANGLED = "draw the crossovers of this hookup in parts of their own: too many ways to follow"


@rule(
    "lineup-expectation-unmet",
    severity="must",
    title="Carries what lineups expect",
    asks="in every lineup each coil carries the service that the lineup expects in it",
    why="Somebody who sets the valves by this lineup gets another liquid in the coil than was meant, or none.",
    mend="open the valves between the main and the coil in this lineup, or correct what it expects",
    sources=LINEUP_SOURCES,
    agreement="1 source on tags, none found for the rule itself",
)
def lineup_expectation_unmet(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A coil in which another service stands, or none, than the one behind `expect`."""
    kept: dict[str, list[str]] = {}
    for lineup in hookup.lineups:
        if contradictions(lineup):
            continue
        standing = worked_out(hookup, sections).stand(lineup)
        for coil, service, span in lineup.expect:
            if coil not in sections.neighbours:
                continue
            found = standing.standing(coil)
            unknown = _unknown(standing, coil)
            if unknown:
                yield cannot_tell(coil, carries_unknown(unknown))
                continue
            if service in found:
                kept.setdefault(coil, []).append(f'"{lineup.name}"')
                continue
            anyhow = worked_out(hookup, sections).with_shut(frozenset())
            yield _unmet(standing, anyhow, lineup, coil, service, found, span)
    for coil, names in kept.items():
        yield yes(coil, ", ".join(dict.fromkeys(names)))


def _unknown(standing: Standing, coil: str) -> list[Component]:
    """The mains that stand open to a coil and of which nobody knows what they carry."""
    groups = {standing.group[piece] for piece in standing.network.sides(coil)}
    return [main for main in _mains_of(standing, groups) if not main.service]


def _mains_of(standing: Standing, groups: Collection[int]) -> list[Component]:
    """The mains that bring what stands in some groups of pieces."""
    return [m for piece, mains in standing.network.mains.items() if standing.group[piece] in groups for m in mains]


def _unmet(
    standing: Standing, anyhow: Standing, lineup: Lineup, coil: str, service: str, found: tuple[str, ...], span: Span
) -> Finding:
    """What is wrong with an expectation; `anyhow` has every valve open."""
    net = standing.network
    mains = [main.id for mains in net.mains.values() for main in mains if main.service == service]
    instead = " and ".join(f"`{name}`" for name in found) if found else "nothing"
    notes = []
    brings = [main.id for main in _mains_of(standing, {standing.group[piece] for piece in net.sides(coil)})]
    if brings:
        sources = [id for id in brings if net.main_sides.get(id) == SOURCE] or brings
        notes.append(Note(f"the way it comes: {way(net.hookup, path_between(net, sources, {coil}, standing.shut))}"))
    path = path_between(net, mains, {coil}, standing.shut & net.pieces_of.keys())
    shut = [v for v in valves_on(net, path) if v.id in standing.shut]
    if path:
        notes.append(Note(f"the way from main `{net.hookup.component(path[0]).tag}`: {way(net.hookup, path)}"))
    to_open = [v for v in valves_on(net, _through(anyhow, coil, service) or path) if v.id in standing.shut]
    mend = _opened(lineup, to_open)
    if not mains:
        notes.append(Note(f"no main of this hookup brings `{service}`"))
    elif not path:
        notes.append(Note(f"no pipe joins `{coil}` to a main of `{service}`"))
    return fault(
        f'in lineup "{lineup.name}" coil `{coil}` carries {instead}, not `{service}`',
        span,
        about=(coil, *(v.tag for v in shut if v.tag)),
        label=f"shut on the way: {ticked(shut)}" if shut else "",
        notes=tuple(notes),
        mend=mend,
    )


def _opened(lineup: Lineup, valves: Sequence[Component]) -> Mend:
    """Some valves opened in a lineup; nothing if one has no tag, or the lineup says itself that it is closed."""
    closed = {tag for tag, _ in lineup.closed}
    if not valves or any(not v.tag or v.tag in closed for v in valves):
        return ()
    return add("last under", lineup.span, f"open {', '.join(v.tag for v in valves)}")


def _through(anyhow: Standing, coil: str, service: str) -> tuple[str, ...]:
    """The way of a service through a coil and on to a return main; empty if there is none or it cannot be told."""
    try:
        found = anyhow.coil_way(coil, service)
    except TimeoutError:
        return ()
    return found.path if found is not None else ()


@rule(
    "coil-without-flow",
    severity="must",
    title="Flows in lineups",
    asks="in every lineup that expects a coil to carry something, a way leads from a supply main through it to a "
    "return",
    why="A coil whose way is shut at one end, or that hangs on one pipe, is full of the right liquid and does nothing; "
    "in freezing air it bursts.",
    mend="open the valve that is shut on its way, or run its other line to a main",
    sources=("common practice, no source",),
    agreement="not counted",
)
def coil_without_flow(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A coil with the expected service in it, and no way through it. Without lineups: no way whatever is open."""
    ways: dict[str, list[str]] = {}
    for lineup in lineups_of(hookup):
        if contradictions(lineup):
            continue
        standing = worked_out(hookup, sections).stand(lineup)
        for coil, service, span in lineup.expect:
            if service not in standing.standing(coil) or not _is_joined(hookup, sections, coil):
                continue
            unknown = _unknown(standing, coil)
            if unknown:
                yield cannot_tell(coil, carries_unknown(unknown))
                continue
            try:
                found = standing.coil_way(coil, service)
            except TimeoutError:
                yield cannot_tell(coil, _TANGLED)
                continue
            if found is not None:
                against = ", backward through the coil" if found.backward else ""
                ways.setdefault(coil, []).append(way(hookup, found.path).replace("`", "") + against)
                continue
            blocked = _no_way(sections, standing, lineup, coil, service, span)
            if blocked is not None:
                yield blocked
    for coil, names in ways.items():
        yield yes(coil, "; ".join(dict.fromkeys(names)))


def _is_joined(hookup: Hookup, sections: Sections, coil: str) -> bool:
    """Whether both connections of a coil lead on; if not, another rule says so."""
    joined = {port for port, _, _, _ in sections.neighbours.get(coil, ())}
    return {"supply", "return"} <= joined


def _no_way(
    sections: Sections, standing: Standing, lineup: Lineup, coil: str, service: str, span: Span
) -> Finding | None:
    hookup = standing.network.hookup
    anyhow = worked_out(hookup, sections).with_shut(frozenset()).coil_way(coil, service)
    if anyhow is None and _has_open_end(hookup, sections, coil):
        return None
    notes: tuple[Note, ...] = ()
    shut: list[Component] = []
    if anyhow is not None:
        if lineup.name == normal(hookup).name and lineup not in hookup.lineups:
            return None  # shut off on purpose, as the valve's own line says
        shut = [v for v in valves_on(standing.network, anyhow.path) if v.id in standing.shut]
        notes = (Note(f"the way: {way(hookup, anyhow.path)}"),)
    else:
        here = _mains_of(standing, {standing.group[piece] for piece in standing.network.sides(coil)})
        ends = list(dict.fromkeys(main.tag for main in here if main.service == service))
        notes = (Note(f"no way leads through it between mains of `{service}`, whatever is open"),)
        if len(ends) == 1:
            notes = (Note(f"main `{ends[0]}` is all that it hangs on: both ends of its way are at one pressure"),)
    return fault(
        f'nothing flows through coil `{coil}` in lineup "{lineup.name}"',
        span,
        about=(coil,),
        label=f"shut on the way: {ticked(shut)}" if shut else "",
        notes=notes,
        mend=_opened(lineup, shut),
    )


def _has_open_end(hookup: Hookup, sections: Sections, coil: str) -> bool:
    """Whether some end of what hangs together with a coil is joined to nothing, which is found where it is."""
    seen, todo = {coil}, [coil]
    while todo:
        at = todo.pop()
        joined = {port for port, _, _, _ in sections.neighbours[at]}
        if not joined.issuperset(ports_of(hookup.component(at))):
            return True
        for _, other, _, _ in sections.neighbours[at]:
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return False


@rule(
    "lineup-mixes-services",
    severity="must",
    asks="in no lineup does an open way lead from one service to another",
    why="Glycol leaks into the water, or water thins the glycol below the strength it was chosen for; nobody sees it "
    "happen.",
    mend="close a valve between the two in this lineup",
    sources=(
        "UFGS 15211 (each system is pressurised alone to prove that there is no cross-connection)",
        "common practice, no source, for hydronic services as such",
    ),
    agreement="3 sources on what counts as separation; none found for the rule itself",
)
def lineup_mixes_services(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Two services in one piece in a lineup that sets some valve otherwise than it normally stands."""
    if not hookup.lineups:
        return
    lineups = worked_out(hookup, sections)
    usual = shut_in(lineups.network, normal(hookup))
    for lineup in hookup.lineups:
        if contradictions(lineup) or shut_in(lineups.network, lineup) == usual:
            continue  # the normal positions are asked about by service-mix-up
        standing = lineups.stand(lineup)
        for services in dict.fromkeys(found for found in standing.carries.values() if len(found) > 1):
            for first, second in combinations([s for s in services if s in hookup.services], 2):
                yield _mixed(standing, lineup, first, second)


def _mixed(standing: Standing, lineup: Lineup, first: str, second: str) -> Finding:
    net, hookup = standing.network, standing.network.hookup
    ends = [[m.id for mains in net.mains.values() for m in mains if m.service == name] for name in (first, second)]
    path = path_between(net, ends[0], set(ends[1]), standing.shut)
    opened = dict(lineup.open)
    spans = [opened[v.tag] for v in valves_on(net, path) if v.tag in opened]
    cut = _to_shut(standing, lineup, first, second)
    names = ", ".join(called(v) for v in cut)
    mend: Mend = ()
    if cut and all(v.tag in opened for v in cut):
        mend = without(lineup.open, [v.tag for v in cut], "open")
    elif cut and all(v.tag and v.tag not in opened for v in cut):
        mend = add("last under", lineup.span, f"closed {names}")
    same = hookup.services[first].mixture == hookup.services[second].mixture
    more = ", two systems of one liquid," if same else ""
    valves = ", ".join(f"`{v.label}`" for v in valves_on(net, path) if v.id in net.pieces_of)
    return fault(
        f'in lineup "{lineup.name}" `{first}` and `{second}`{more} stand open to each other',
        spans[0] if spans else lineup.span,
        about=tuple(dict.fromkeys(tag for id in path for tag in concerned(hookup, hookup.component(id)))),
        label="opens the way" if spans else "",
        notes=(
            Note(f"the way: {way(hookup, path)}"),
            Note(f"valves on it, all open: {valves or 'none'}"),
            Note(f"shut, they part the two: {ticked(cut)}" if names else "no valves part the two"),
        ),
        mend=mend,
    )


def _to_shut(standing: Standing, lineup: Lineup, first: str, second: str) -> tuple[Component, ...]:
    """The valves that should be shut: those that part the two with every coil on the side it is expected on, if any do;
    else the fewest, those that the lineup opens before others."""
    net = standing.network
    opened = {tag for tag, _ in lineup.open}
    sides = [{net.home[m.id] for mains in net.mains.values() for m in mains if m.service == s} for s in (first, second)]
    expected = [
        {net.home[coil] for coil, service, _ in lineup.expect if service == s and coil in net.home}
        for s in (first, second)
    ]

    def cost(valve: Component) -> int:
        return 0 if valve.id in standing.shut else 1000 if valve.role else 1 if valve.tag in opened else 2

    for extra in (expected, [set[int](), set[int]()]):
        found = least_parting(net, sides[0] | extra[0], sides[1] | extra[1], cost)
        if found is not None:
            return tuple(v for v in found if v.id not in standing.shut)
    return ()
