"""What a lineup and the valves' own lines say of positions."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from itertools import combinations

from ..analysis.lineups import contradictions, worked_out
from ..analysis.network import carried_by, is_settable
from ..analysis.sections import Sections
from ..model.finding import Finding, Note
from ..model.hookup import Hookup
from ..model.mend import Mend, take_out, write
from ..model.span import Span
from .registry import concerned, fault, rule

LINEUP_SOURCES = (
    "UFGS 15501, 15502 (a valve's tag names the others that must be opened or shut with it)",
    "common practice, no source, for the rest",
)


@rule(
    "lineup-contradicts-itself",
    severity="must",
    asks="a lineup says one thing of each valve and of each coil",
    why="Whoever sets the valves by this lineup has to guess which of the two is meant, and half of the guesses are "
    "wrong.",
    mend="take one of the two out",
    sources=("common practice, no source",),
    agreement="not counted",
)
def lineup_contradicts_itself(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A valve that is both open and closed, a coil that is expected on two services."""
    for lineup in hookup.lineups:
        for tag in sorted(contradictions(lineup)):
            first, second = sorted(span for name, span in (*lineup.open, *lineup.closed) if name == tag)[:2]
            yield fault(
                f'lineup "{lineup.name}" has `{tag}` both open and closed',
                second,
                about=(tag,),
                notes=(Note("the other is here", first),),
                mend=without(lineup.open, (tag,), "open"),
            )
        said: dict[str, tuple[str, Span]] = {}
        for coil, service, span in lineup.expect:
            before = said.setdefault(coil, (service, span))
            if before[0] != service:
                yield fault(
                    f'lineup "{lineup.name}" expects coil `{coil}` on `{before[0]}` and on `{service}`',
                    span,
                    about=(coil,),
                    notes=(Note("the other is here", before[1]),),
                )


@rule(
    "lineup-sets-no-valve",
    severity="should",
    asks="what a lineup opens or closes is a valve that somebody can open and close",
    why="A strainer, a tee or a check valve has no two positions, so the line says nothing and the valve that was "
    "meant is not set.",
    mend="name the valve that is meant, or take the tag out",
    sources=("common practice, no source",),
    agreement="not counted",
)
def lineup_sets_no_valve(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A tag behind `open` or `closed` that is no valve of two positions."""
    tags = {c.tag: c for c in hookup.components() if c.tag} if hookup.lineups else {}
    for lineup in hookup.lineups:
        for verb, named in (("opens", lineup.open), ("closes", lineup.closed)):
            for tag, span in named:
                found = tags.get(tag)
                if found is not None and not is_settable(found):
                    yield fault(
                        f'lineup "{lineup.name}" {verb} `{tag}`, which is a {found.kind.name}',
                        span,
                        about=(tag,),
                        mend=without(named, (tag,), "open" if verb == "opens" else "closed"),
                    )


def without(named: Iterable[tuple[str, Span]], tags: Collection[str], verb: str) -> Mend:
    """Some tags taken out of the lines of a lineup that open or close them."""
    lines: dict[int, list[tuple[str, Span]]] = {}
    for tag, span in named:
        lines.setdefault(span.line, []).append((tag, span))
    made: Mend = ()
    for entries in lines.values():
        left = [tag for tag, _ in entries if tag not in tags]
        if len(left) < len(entries):
            at = entries[0][1]
            made += write(at, f"{verb} {', '.join(left)}") if left else take_out(at)
    return made


@rule(
    "valve-position-unsaid",
    severity="should",
    asks="every valve between two services says how it normally stands",
    why="Whoever starts the plant finds it in some position; if it is open, two systems run into each other.",
    mend="write `normally closed` or `normally open` behind the valve",
    sources=LINEUP_SOURCES,
    agreement="1 source on tags, none found for the rule itself",
)
def valve_position_unsaid(hookup: Hookup, sections: Sections) -> Iterator[Finding]:
    """A shutoff between parts of two services of which neither its line nor a lineup says whether it is open."""
    if len({c.service for c in sections.coils_and_mains}) < 2:
        return
    net = worked_out(hookup, sections).network
    named = {tag for lineup in hookup.lineups for tag, _ in (*lineup.open, *lineup.closed)}
    for valve in net.valves:
        if valve.position_said or valve.role or valve.tag in named or valve.closed:
            continue
        if valve.line in hookup.lines and hookup.lines[valve.line].coil:
            continue  # a coil's own shutoff stands open; if its main is another service's, service-mix-up says so
        sides = [_services_beside(sections, net.pieces_of, piece, valve.id) for piece in net.pieces_of[valve.id]]
        for first, second in combinations(sides, 2):
            if first and second and not first & second:
                one, other = min(first), min(second)
                yield fault(
                    f"`{valve.label}` stands between `{one}` and `{other}`, and nothing says if it is open or shut",
                    valve.origin[0],
                    about=concerned(hookup, valve),
                    mend=write(valve.origin[0], f"{valve.tag}, normally closed", valve.tag) if valve.tag else (),
                )
                break


def _services_beside(sections: Sections, sides: dict[str, list[int]], piece: int, valve: str) -> set[str]:
    """The services of the coils and mains on one side of a valve, looking on through pieces that hold neither."""
    found: set[str] = set()
    seen, todo = {piece}, [piece]
    while todo:
        section = sections.all[todo.pop()]
        served = {
            c.service if c.kind.ports == "coil" else carried_by(c)
            for c in section.components
            if c.kind.ports in ("coil", "main")
        }
        found |= served
        if served:
            continue
        for other, _ in section.valves:
            for beyond in sides[other.id] if other.id != valve else ():
                if beyond not in seen:
                    seen.add(beyond)
                    todo.append(beyond)
    return found
