"""Strainers: ahead of the control valve, inside the shutoffs, and with a valve to blow them down."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.legs import Leg, is_shutoff
from ..analysis.places import add, inside, is_asked, line_name, outside
from ..analysis.sections import Sections
from ..analysis.water import ends_on, hanging, is_behind_shutoff, legs, shared
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, write
from ..passes.mirror import as_drawn
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

_AHEAD = (
    "UFGS 15501, 15502 (upstream of each control valve)",
    "State of Delaware project manual 23 21 13, part 3 (inlet side)",
    "two control valve makers' guides and a coil maker's sheet",
)
_BLOWDOWN = (
    "UFGS 02560, 15569",
    "a university's standard section 15515 and a published section 23 21 16",
    "University of Iowa Hospitals design standard (above NPS 2)",
)
_WHY = "To clean a strainer without a blowdown it is opened and runs out on the floor: so it is left dirty."


@rule(
    "strainer-missing",
    severity="must",
    title="Strainer",
    asks="the water comes through a strainer before every control valve",
    why="Pipe scale and welding beads lodge between plug and seat: the valve does not shut, and its seat is cut.",
    mend="put a `strainer` with a `strainer blowdown` on the supply, on the coil's side of the shutoff",
    sources=_AHEAD,
    agreement="9 sources read for; 1 strainers only at the pumps",
)
def strainer_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A way from the supply main to a control valve without anything that strains."""
    said: set[str] = set()
    for tag, leg, at, valve in _control_valves(hookup, sections):
        found = [c for _, _, c in _strainers(hookup, sections, tag, leg, at)]
        supply = legs(hookup, sections)[tag]["supply"]
        if found:
            yield yes(tag, ", ".join(c.label for c in found))
        elif supply.main is None:
            yield cannot_tell(tag, f"run `{line_name(tag, 'supply')}` from a main, so that all of it is known")
        elif valve.id not in said:
            said.add(valve.id)
            yield fault(
                f"no strainer between main `{supply.main.tag}` and `{valve.label}`",
                valve.origin[0],
                about=concerned(hookup, valve, hookup.component(tag)),
                notes=_mouth(supply),
                mend=_strainer(hookup, sections, supply, valve),
            )


@rule(
    "strainer-outside-shutoffs",
    severity="must",
    asks="a strainer stands on the coil's side of the shutoff",
    why="A strainer outside it stands under the main's pressure at all times: its screen cannot be taken out.",
    mend="move the shutoff to the main's side of the strainer",
    sources=_AHEAD,
    agreement="9 sources read ask for the strainer, none shows it outside",
)
def strainer_outside_shutoffs(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Something that strains on a leg, with no shutoff between it and the main."""
    said: set[str] = set()
    for both in legs(hookup, sections).values():
        for leg in both.values():
            for at, component in leg.placed("strains"):
                if leg.main is None or component.id in said:
                    continue
                if leg.shutoff() is not None and not is_behind_shutoff(leg, at):
                    said.add(component.id)
                    yield fault(
                        f"no shutoff between main `{leg.main.tag}` and strainer `{component.label}`",
                        component.origin[0],
                        about=concerned(hookup, component),
                        mend=outside(hookup, leg.name, component, leg.way[leg.shutoff() or 0]),
                    )


@rule(
    "strainer-without-blowdown",
    severity="must",
    asks="a strainer of NPS 2-1/2 or larger has a blowdown valve",
    why=_WHY,
    mend="write `strainer blowdown` indented below it",
    sources=_BLOWDOWN,
    agreement="5 sources read for, 1 small kit shows none",
)
def strainer_without_blowdown(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A large strainer with no valve on its tapping."""
    for component, message, mend in _not_blown_down(hookup, sections):
        if component.size.inches >= limit("large strainer"):
            yield fault(message, component.origin[0], about=concerned(hookup, component), mend=mend)


@rule(
    "small-strainer-without-blowdown",
    severity="should",
    asks="a strainer below NPS 2-1/2 has a blowdown valve",
    why=_WHY,
    mend="write `strainer blowdown` indented below it",
    sources=_BLOWDOWN,
    agreement="5 sources read for, 1 small kit shows none",
)
def small_strainer_without_blowdown(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A small strainer with no valve on its tapping."""
    for component, message, mend in _not_blown_down(hookup, sections):
        if component.size.inches < limit("large strainer"):
            yield fault(message, component.origin[0], about=concerned(hookup, component), mend=mend)


def _control_valves(hookup: Hookup, sections: Sections) -> Iterator[tuple[str, Leg, int, Component]]:
    """(coil, leg, place on it, valve) of every control valve on the two legs of every coil."""
    for tag, both in legs(hookup, sections).items():
        for leg in both.values():
            for at, component in leg.placed("controls"):
                yield tag, leg, at, component


def _strainers(
    hookup: Hookup, sections: Sections, coil: str, leg: Leg, at: int
) -> Iterator[tuple[Leg, int, Component]]:
    """What strains the water of a coil before it comes to a place on one of the two legs."""
    supply = legs(hookup, sections)[coil]["supply"]
    if leg is not supply:
        yield from ((supply, n, c) for n, c in supply.placed("strains"))
    yield from ((leg, n, c) for n, c in leg.placed("strains") if n < at)


def _strainer(hookup: Hookup, sections: Sections, supply: Leg, valve: Component) -> Mend:
    """A strainer behind a shutoff of the supply that serves as many coils as the control valve does, the nearest to the
    coil; nothing where the control valve stands ahead of that."""
    serves = shared(hookup, sections)
    shutoffs = [n for n, c in supply.placed("isolates") if is_shutoff(c) and serves[c.id] >= serves[valve.id]]
    if not shutoffs or valve in supply.way[: shutoffs[-1]]:
        return ()
    shutoff = supply.way[shutoffs[-1]]
    # The disc of a butterfly valve needs room to swing; where the line stands on end, a strainer goes elsewhere.
    swings = shutoff.kind.can("swings") and shutoff.heading not in ("", "up", "down")
    apart = (f"{as_drawn(hookup, shutoff.heading)} 6 in",) if swings else ()
    return inside(hookup, "supply", shutoff, *apart, "strainer", "    strainer blowdown")


def _mouth(supply: Leg) -> tuple[Note, ...]:
    at = supply.shutoff()
    if at is None:
        return ()
    return (Note(f"a strainer goes behind `{supply.way[at].label}`", supply.way[at].origin[0]),)


def _not_blown_down(hookup: Hookup, sections: Sections) -> Iterator[tuple[Component, str, Mend]]:
    """Strainers in a line, what is wrong with their blowdown, and how to mend it."""
    for component in sections.having("strains"):
        if component.kind.ports != "inline":
            continue
        ends = ends_on(hookup, sections, component)
        valved = [end for end in ends if any(c.kind.can("isolates") for c in hanging(hookup, sections, end))]
        if not ends:
            yield component, f"strainer `{component.label}` has no blowdown valve", _blowdown(component)
        elif not valved:
            message = f"what closes the blowdown of strainer `{component.label}` is no valve"
            yield component, message, write(ends[0].origin[0], "strainer blowdown") if len(ends) == 1 else ()


def _blowdown(strainer: Component) -> Mend:
    return add("last under", strainer.origin[0], "strainer blowdown") if is_asked(strainer) else ()
