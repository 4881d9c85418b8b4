"""Vents: automatic ones, water that carries its air out by itself, and vacuum breakers."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.openings import is_judged, self_venting, wanting
from ..analysis.places import above, at_coil, is_nested
from ..analysis.sections import Sections
from ..analysis.water import hanging, tube_velocity
from ..catalogue.limits import limit
from ..model.finding import Finding
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, take_out, write
from .registry import Verdict, cannot_tell, concerned, fault, no, rule

_AUTOMATIC = (
    "a fan-coil maker's kit sheet (no automatic vent with glycol)",
    "University of North Carolina piping guideline (float vents only on the air separator)",
    "University of Iowa Hospitals design standard (manual vents only)",
)


@rule(
    "vent-left-to-the-flow",
    severity="note",
    liquid=True,
    asks="a coil without a vent at its high point has water that moves fast enough to carry its air away",
    why="Above the self-venting velocity the water takes the air along; at part load it may not, and the coil does not "
    "drain without air.",
    mend="put a `vent 1/2` at the coil's high connection, or keep the velocity in its tubes",
    sources=("a coil maker's installation manuals (1.5 ft/s for most coils, 2.5 for its double-row types)",),
    agreement="4 texts of one maker for; 12 sources read ask for a vent",
    needs="`tube velocity`, or `flow`, `circuits` and `tubes`, in the coil's block",
)
def vent_left_to_the_flow(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A coil at a high point without a vent whose tube velocity is known and above the self-venting one."""
    for section in sections.all:
        if not is_judged(section):
            continue
        for pools in wanting(section, "high"):
            for coil in self_venting(hookup, section, pools):
                facts = hookup.coils[coil.tag]
                yield fault(
                    f"coil `{coil.tag}` has no vent: {tube_velocity(facts) or 0:.3g} ft/s in its tubes carries the "
                    "air on",
                    facts.span,
                    about=(coil.tag,),
                    mend=_vent(hookup, coil.tag),
                    label=f"self-venting above {float(limit('self-venting')):g} ft/s",
                )


@rule(
    "automatic-vent-on-glycol",
    severity="must",
    asks="vents on glycol are manual",
    why="An automatic vent drips glycol when dirt holds it open, and takes in air when the pressure falls: nobody "
    "notices until the system is low.",
    mend="write `vent 1/2` in its place",
    sources=_AUTOMATIC,
    agreement="3 sources read bar or restrict automatic vents, 1 allows them with a shutoff",
)
def automatic_vent_on_glycol(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """An end that vents by itself on a service with glycol."""
    for component in sections.having("vents by itself"):
        service = hookup.services.get(component.service)
        if service is not None and "glycol" in service.fluid:
            yield fault(
                f"the automatic vent `{component.label}` is on {service.fluid}",
                component.origin[0],
                about=concerned(hookup, component),
                label=f"on `{service.name}`",
                mend=() if _nested(hookup, sections, component) else write(component.origin[0], "vent 1/2"),
            )


@rule(
    "automatic-vent-without-shutoff",
    severity="should",
    asks="an automatic vent stands behind a shutoff of its own",
    why="Its float or seat fails sooner than the pipe: without a shutoff it cannot be changed, and the leak not "
    "stopped, before the coil is drained.",
    mend="write `automatic vent`, which has a shutoff, or put a `ball valve` between it and the pipe",
    sources=("UFGS 15569 (valve at the inlet of a float vent)", *_AUTOMATIC[1:]),
    agreement="3 sources read for, 1 shows none on small coils",
)
def automatic_vent_without_shutoff(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """An end that vents by itself in a piece that is more than what hangs behind one valve."""
    for component in sections.having("vents by itself"):
        if not sections.of(sections.place(component.id, "in")).is_stub:
            nested = _nested(hookup, sections, component)
            yield fault(
                f"no shutoff between the pipe and automatic vent `{component.label}`",
                component.origin[0],
                about=concerned(hookup, component),
                mend=above(component, "ball valve") if nested else write(component.origin[0], "automatic vent"),
            )


@rule(
    "vacuum-breaker-on-closed-loop",
    severity="note",
    title="Vacuum breaker",
    asks="a closed loop that stands under pressure has no vacuum breaker",
    why="There is no vacuum to break while the loop holds its pressure: the part only leaks, and lets air in when the "
    "pressure is low.",
    mend="take it out and drain with the vent open, or say `open system` in the service's block",
    sources=("common practice, no source",),
    agreement="no source read asks for one on a water or glycol coil; all found are for steam",
    needs="`closed loop` or `open system` in the service's block; glycol is taken as a closed loop",
)
def vacuum_breaker_on_closed_loop(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """An end that admits air on a service that is a closed loop."""
    for component in sections.having("admits air"):
        service = hookup.services.get(component.service)
        if service is None or service.fluid == "steam":
            continue
        coils = [tag for tag in concerned(hookup, component) if tag in hookup.coils]
        if service.loop == "closed" or "glycol" in service.fluid:
            yield from (no(tag, f"{component.label} on a closed loop") for tag in coils)
            yield fault(
                f"`{component.label}` is on `{service.name}`, a closed loop",
                component.origin[0],
                about=concerned(hookup, component),
                mend=write(component.origin[0], "plug")
                if _nested(hookup, sections, component)
                else take_out(component.origin[0]),
            )
        elif not service.loop:
            add = f"say `closed loop` or `open system` in the block of service {service.name}"
            yield from (cannot_tell(tag, add) for tag in coils)


def _nested(hookup: Hookup, sections: Sections, end: Component) -> bool:
    outlet = hanging(hookup, sections, end)[-1:]
    return bool(outlet) and is_nested(outlet[0], end)


def _vent(hookup: Hookup, coil: str) -> Mend:
    """A vent right at the high connection of a coil."""
    high = next((port.name for port in hookup.coils[coil].ports.values() if port.level == "high"), "")
    return at_coil(hookup, coil, high, "vent 1/2") if high else ()
