"""Loops: one without a main needs room to expand, and the bypass of a pumped one a check valve."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.legs import Leg, LegName
from ..analysis.places import add
from ..analysis.sections import Sections
from ..analysis.water import legs, ring_flow
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend
from .bypasses import side_of
from .registry import Verdict, concerned, fault, rule, yes


@rule(
    "loop-without-expansion",
    severity="must",
    liquid=True,
    title="Expansion",
    asks="a closed loop that no main reaches has an expansion tank of its own, open to it",
    why="A main brings the expansion tank of its system. A loop without one has nowhere to go when it warms up: the "
    "relief valve opens time and again, and then air and water come in.",
    mend="hang an expansion tank on the loop, with nothing between that is normally closed: on the suction side of the "
    "pump, as a `kind expansion tank` of your own",
    sources=("common practice, no source",),
    agreement="read in no text",
    needs="`open system` in the service's block if it is none that is closed",
)
def loop_without_expansion(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Coils from which no main and no expansion tank is reached, whatever is open (main) or as it stands (tank)."""
    seen: set[str] = set()
    for tag, facts in hookup.coils.items():
        service = hookup.services.get(facts.service)
        if tag in seen or tag not in sections.neighbours or service is None or service.loop == "open":
            continue
        whole = _reached(hookup, sections, tag, through_shut=True)
        coils = [c.tag for c in whole if c.kind.ports == "coil"]
        seen.update(coils)
        ends = {len(sections.neighbours[coil]) for coil in coils}
        if any(c.kind.ports == "main" for c in whole) or 0 in ends or not any(c.kind.can("pumps") for c in whole):
            continue  # a hookup that is not drawn to its end is another rule's
        open_to = _reached(hookup, sections, tag, through_shut=False)
        tank = next((c for c in open_to if _takes_up_expansion(c)), None)
        if tank is not None:
            yield from (yes(coil, tank.label) for coil in coils)
            continue
        shut_off = next((c for c in whole if _takes_up_expansion(c)), None)
        yield fault(
            f"nothing takes up the expansion of `{service.name}`: no main reaches its loop, and no expansion tank",
            hookup.coils[tag].span,
            about=tuple(coils),
            notes=(Note(f"`{shut_off.label}` is shut off", shut_off.origin[0]),) if shut_off is not None else (),
        )


def _takes_up_expansion(component: Component) -> bool:
    return component.kind.can("takes up expansion") or component.kind.name.endswith("expansion tank")


def _reached(hookup: Hookup, sections: Sections, start: str, *, through_shut: bool) -> list[Component]:
    """What hangs together with a coil, with what is normally closed open or shut."""
    found = {start: hookup.component(start)}
    todo = [start]
    while todo:
        for _, other, _, _ in sections.neighbours[todo.pop()]:
            component = hookup.component(other)
            if other not in found and (through_shut or not component.closed):
                found[other] = component
                todo.append(other)
    return list(found.values())


@rule(
    "pumped-bypass-without-check",
    severity="note",
    title="Check valve in bypass",
    asks="the bypass of a coil with a pump of its own and a two-way control valve has a check valve, passing from "
    "the return to the supply",
    why="With the control valve open, water from the main can run through the bypass to the return, past the coil.",
    mend="put a `check valve` into the bypass",
    sources=("an injection pumping guide of a valve maker (one drawing leaves it out)",),
    agreement="1 source read; 2 drawings show the bypass bare",
)
def pumped_bypass_without_check(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The lines of a pumped ring that are on no leg of the coil: the bypass, and what stands in it."""
    for tag, both in legs(hookup, sections).items():
        if any(leg.main is None for leg in both.values()) or not any(leg.having("pumps") for leg in both.values()):
            continue
        ring = ring_flow(hookup, tag, with_the_arrows=True)
        bypass = _bypass(hookup, sections, both, ring)
        if bypass is None or any(c.kind.ports == "three-way" for leg in both.values() for c in leg.way if c.id in ring):
            continue
        tee, way = bypass
        check = next((c for c in way if c.kind.can("checks")), None)
        if check is not None:
            yield yes(tag, check.label)
            continue
        yield fault(
            f"no check valve in the bypass of pump and coil `{tag}`",
            hookup.lines[way[0].line].span if way else tee.origin[0],
            about=(tag, *concerned(hookup, tee)),
            mend=_check(hookup, way),
        )


def _bypass(
    hookup: Hookup, sections: Sections, both: dict[LegName, Leg], ring: set[str]
) -> tuple[Component, list[Component]] | None:
    """The tee on the return, and what stands between it and the supply on the way that closes the ring."""
    on_supply = {c.id for c in both["supply"].way}
    for tee in both["return"].way:
        if tee.id in ring:
            way, end = side_of(hookup, sections, tee)
            if end is not None and end.id in on_supply and end.id in ring:
                return tee, way
    return None


def _check(hookup: Hookup, way: list[Component]) -> Mend:
    """A check valve at the end of a level bypass; in one that rises it parts what drains and vents together."""
    if not way or way[0].line not in hookup.lines or any(c.pipe is not None and c.pipe.rise for c in way):
        return ()
    return add("last under", hookup.lines[way[0].line].span, "check valve")
