"""Shutoffs on both legs of a coil, and a joint between them and the coil that can be opened."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from ..analysis.legs import LEGS, LegName
from ..analysis.places import inside, is_asked, line_name, shutoff_for, toward_main
from ..analysis.saying import called, way
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import NOT_MADE_UP, Component, Hookup
from ..model.mend import Mend, write
from .registry import Verdict, fault, no, rule, yes


@rule(
    "coil-not-isolated",
    severity="must",
    title="Shutoff",
    asks="a shutoff stands on the supply and on the return of every coil, before any main or other coil",
    why="A coil that cannot be shut off on both sides cannot be drained, repaired or taken out without draining the "
    "system.",
    mend="put a shutoff, such as a `butterfly valve` with lug body or a `ball valve`, on this leg",
    sources=(
        "Chicago Building Code 18-28-1205.1 (both sides of a heat exchanger)",
        "VA HVAC Design Manual, coils",
        "UFGS 15501, 15502",
        "University of Iowa Hospitals design standard",
    ),
    agreement="11 sources read for, 0 against",
)
def coil_not_isolated(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """With all shutoffs closed, a walk from a coil connection that reaches a main or another coil."""
    for tag, facts in hookup.coils.items():
        if tag not in sections.neighbours:
            continue
        for leg in LEGS:
            walk = sections.leg(tag, leg)
            # Coils that share their shutoffs and see no main are for rule `coils-share-shutoffs`.
            bank = not sections.of(sections.place(tag, leg)).mains
            reached_openly = [at for at in walk.reached if not (bank and _same_service(hookup, tag, at[0]))]
            for reached, path in reached_openly:
                what = f"main `{reached.tag}`" if reached.kind.ports == "main" else f"coil `{reached.tag}`"
                line = hookup.lines.get(line_name(tag, leg))
                yield no(tag, f"open to {what.replace('`', '')}", leg)
                yield fault(
                    f"no shutoff on the {leg} of coil `{tag}`: it is open to {what}",
                    line.span if line is not None else facts.span,
                    about=(tag, reached.tag),
                    notes=(Note(f"the way: {way(hookup, path)}"),),
                    mend=_shutoff(hookup, sections, tag, leg),
                )
            valves = dict.fromkeys(called(valve) for valve, _, _ in walk.valves if not valve.role)
            if not reached_openly:
                held = [called(v) for v, _ in sections.of(sections.place(tag, leg)).valves if not v.role]
                valves = valves or dict.fromkeys(held if walk.reached else [])
                yield yes(tag, ", ".join(valves), leg) if valves else no(tag, "joined to nothing", leg)


@rule(
    "coil-not-removable",
    severity="must",
    title="Opens at",
    asks="between each shutoff and its coil a joint can be opened: a union, a flange pair or a grooved coupling",
    why="Without it the coil cannot leave its casing with the valves shut and the mains full; somebody must cut pipe.",
    mend="put a union (to NPS 2) or a flange pair between the coil and the shutoff; a wafer body does not count, since "
    "it falls loose when one side is undone",
    sources=(
        "State of Delaware project manual 23 21 13, part 3 (unions to NPS 2, flanges above)",
        "UFGS 15183, 15501, 15502",
        "DOE-HDBK-1018/2 (wafer bodies are held by through bolts)",
    ),
    agreement="10 sources read for, 0 against; the size split at NPS 2 is read both ways",
)
def coil_not_removable(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A walk from a coil connection that meets its shutoff, or a main, before a joint that can be opened."""
    for tag, facts in hookup.coils.items():
        if tag not in sections.neighbours:
            continue
        for leg in LEGS:
            found, solid = breaks_on(hookup, sections, tag, leg)
            if not solid:
                yield yes(tag, found[0], leg) if found else no(tag, "joined to nothing", leg)
            for component, path in solid[:1]:
                line = hookup.lines.get(line_name(tag, leg))
                yield no(tag, f"{component.label} is joined solid", leg)
                message = f"nothing can be opened between `{component.label}` and the {leg} of coil `{tag}`"
                wafer = any(end.form == "wafer" for end in component.ends.values())
                if wafer:
                    message += ": its wafer body falls loose when one side is undone"
                yield fault(
                    message,
                    component.origin[0] if component.kind.ports != "main" else (line.span if line else facts.span),
                    about=(tag, component.tag),
                    label="wafer" if wafer else "",
                    notes=(Note(f"the way: {way(hookup, path)}"),),
                    help="write `lug` in place of `wafer`, so that each side is held by bolts of its own"
                    if wafer
                    else "",
                    mend=_opened(hookup, leg, component),
                )


def _shutoff(hookup: Hookup, sections: Sections, coil: str, name: LegName) -> Mend:
    leg = legs(hookup, sections)[coil][name]
    line = hookup.lines.get(line_name(coil, name))
    if line is None or leg.shutoff() is not None:
        return ()
    return toward_main(hookup, coil, name, leg.way, shutoff_for(line.size))


def _opened(hookup: Hookup, leg: str, solid: Component) -> Mend:
    """A lug body for a wafer, a union on the coil's side of a small shutoff."""
    if not is_asked(solid):
        return ()
    if solid.ask is not None and solid.ask.word == "wafer":
        return write(solid.origin[0], "lug", "wafer")
    return inside(hookup, leg, solid, "union") if solid.size.inches <= limit("threaded up to") else ()


def _same_service(hookup: Hookup, coil: str, other: Component) -> bool:
    return other.kind.ports == "coil" and other.service == hookup.coils[coil].service


def breaks_on(
    hookup: Hookup, sections: Sections, coil: str, port: str
) -> tuple[list[str], list[tuple[Component, tuple[str, ...]]]]:
    """The joints that part a leg from its coil, in words, and the shutoffs and mains reached without one."""
    found: list[str] = []
    solid: list[tuple[Component, tuple[str, ...]]] = []
    seen = {coil}
    queue: deque[tuple[str, tuple[str, ...]]] = deque([(coil, (coil,))])
    while queue:
        at, path = queue.popleft()
        for via, other, _, joint in sections.neighbours[at]:
            if (at == coil and via != port) or other in seen:
                continue
            seen.add(other)
            component = hookup.component(other)
            if joint.kind == NOT_MADE_UP:
                continue  # what would stand here is not known; the rules on joints say so
            if joint.breaks:
                found.append(f"{'flange' if joint.kind == 'bolted' else joint.kind} {joint.end_a.size}")
            elif component.kind.can("breaks"):
                found.append(f"{component.kind.name} {component.size}")
            elif component.kind.ports in ("main", "coil") or (component.kind.can("isolates") and not component.role):
                solid.append((component, (*path, other)))
            elif not component.kind.can("isolates"):
                queue.append((other, (*path, other)))
    return list(dict.fromkeys(found)), solid
