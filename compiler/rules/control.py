"""Control valves: how many, where, and the ports of three-way valves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ..analysis.legs import Leg, LegName
from ..analysis.places import inside, is_asked, outside
from ..analysis.sections import Sections
from ..analysis.water import is_behind_shutoff, legs
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, take_out, write
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

_SOURCES = (
    "coil control guides of two valve makers (return preferred, supply allowed)",
    "a coil maker's factory kits (supply)",
    "an injection pumping guide and a diverting guide (return)",
)


@rule(
    "control-valve-missing",
    severity="note",
    title="Control valve",
    asks="one control valve stands in the way of the water through every coil, on the return by preference",
    why="A coil without one takes its full flow at all times, and nothing holds the temperature of the air.",
    mend="put a `control valve` on the return, between the coil and the shutoff, and a `strainer` on the supply",
    sources=_SOURCES,
    agreement="4 sources read for the return, 2 for the supply, none forbids either",
)
def control_valve_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A coil with nothing on either leg that controls."""
    for tag in legs(hookup, sections):
        found = _valves(hookup, sections, tag)
        if found:
            yield yes(tag, ", ".join(f"{valve.label} on the {leg.name}" for leg, _, valve in found))
        else:
            span = hookup.coils[tag].span
            mend = _valve(hookup, legs(hookup, sections)[tag])
            yield fault(f"no control valve on either leg of coil `{tag}`", span, about=(tag,), mend=mend)


@rule(
    "control-valves-in-series",
    severity="should",
    asks="no more than one control valve stands in the way of the water through a coil",
    why="Two valves in series hunt against each other, and the smaller one alone sets the flow.",
    mend="take one of them out, or put each on a branch of its own",
    sources=_SOURCES,
    agreement="4 sources show one valve a coil, 0 show two in series",
)
def control_valves_in_series(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A second component that controls on the two legs of one coil."""
    for tag in legs(hookup, sections):
        found = [valve for _, _, valve in _valves(hookup, sections, tag)]
        for valve in found[1:]:
            yield fault(
                f"`{valve.label}` is the second control valve in the way through coil `{tag}`",
                valve.origin[0],
                about=concerned(hookup, valve, found[0]),
                notes=(Note(f"the first is `{found[0].label}`", found[0].origin[0]),),
                mend=take_out(valve.origin[0]) if is_asked(valve) and valve.kind.ports == "inline" else (),
            )


@rule(
    "preheat-valve-fails-closed",
    severity="note",
    title="Fails open in frost",
    asks="the control valve of a heating coil that meets air near freezing opens when its power or signal fails",
    why="With the heat shut off the cold air goes on to everything behind the coil, and plain water in it freezes.",
    mend="order the valve to fail open",
    sources=("common practice, no source",),
    agreement="read in no text",
    needs="`fails open` or `fails closed` behind the control valve, `entering air`, `design` temperatures",
)
def preheat_valve_fails_closed(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A two-way valve of a coil in freezing air whose liquid is designed to be warmer than any cooling is."""
    for tag in legs(hookup, sections):
        facts = hookup.coils[tag]
        service = hookup.services.get(facts.service)
        if service is None or service.high_f is None or service.high_f < limit("heating liquid"):
            continue
        if facts.entering_air_f is None or facts.entering_air_f >= limit("freezing air"):
            continue
        for _, _, valve in _valves(hookup, sections, tag):
            if valve.kind.ports != "inline":
                continue
            if "fails closed" in valve.remarks:
                yield fault(
                    f"`{valve.label}` fails closed, and coil `{tag}` meets air of {facts.entering_air_f:g} F",
                    valve.origin[0],
                    about=concerned(hookup, valve),
                    label="fails closed",
                    mend=write(valve.origin[0], "fails open", "fails closed"),
                )
            elif "fails open" in valve.remarks:
                yield yes(tag, valve.label)
            else:
                yield cannot_tell(tag, f"say `fails open` behind {valve.label}, as it is ordered")


@rule(
    "control-valve-outside-shutoffs",
    severity="should",
    title="Control valve inside shutoffs",
    asks="the control valve stands between the two shutoffs of its coil",
    why="A control valve outside them cannot be opened for repair without draining the main.",
    mend="move the shutoff to the other side of the control valve",
    sources=_SOURCES,
    agreement="4 sources read show it so, 0 otherwise",
)
def control_valve_outside_shutoffs(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A control valve between main and shutoff; a leg with no shutoff at all is another rule's."""
    for tag in legs(hookup, sections):
        found = _valves(hookup, sections, tag)
        outside = [
            (leg, valve)
            for leg, at, valve in found
            if leg.main is not None and leg.shutoff() is not None and not is_behind_shutoff(leg, at)
        ]
        for leg, valve in outside:
            yield fault(
                f"no shutoff between control valve `{valve.label}` and main `{leg.main.tag if leg.main else ''}`",
                valve.origin[0],
                about=concerned(hookup, valve),
                mend=_shutoff_outside(hookup, leg, valve),
            )
        if found and not outside:
            yield yes(tag)


@rule(
    "three-way-ports-reversed",
    severity="must",
    title="Three-way ports",
    asks="a mixing valve has two ways in and one out, a diverting valve one in and two out",
    why="A plug that the flow pushes the wrong way slams on its seat near the end of its travel: the valve hammers and "
    "does not hold.",
    mend="run the `bypass` line the other way round, or order the valve for the way it is piped",
    sources=(
        "a three-way valve maker's diverting guide and a second maker's mounting sheet (four mountings)",
        "two more makers' valve sheets (diverting bodies; limited mixing use)",
    ),
    agreement="4 sources read for, 0 against",
    needs="`mixing` or `diverting` on each three-way valve",
)
def three_way_ports_reversed(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The flow at the side port of a three-way valve against what its body is for."""
    for valve in _three_way(hookup):
        coils = [tag for tag in concerned(hookup, valve) if tag in hookup.coils]
        inward = _bypass_flows_in(hookup, valve)
        asked = next((word for word in ("mixing", "diverting") if word in valve.remarks), "")
        if inward is None:
            continue  # its side is joined to nothing: another rule says so
        if not asked:
            yield from (cannot_tell(tag, f"say `mixing` or `diverting` on {valve.label}") for tag in coils)
        elif inward == (asked == "mixing"):
            yield from (yes(tag, f"{valve.label} {'mixes' if inward else 'diverts'}") for tag in coils)
        else:
            is_ = "two ways in and one out" if inward else "one way in and two out"
            yield fault(
                f"`{valve.label}` is a {asked} valve, but is piped with {is_}",
                valve.origin[0],
                about=concerned(hookup, valve),
                label=asked,
                mend=write(valve.origin[0], "mixing" if inward else "diverting", asked),
            )


@rule(
    "bypass-outside-shutoffs",
    severity="should",
    asks="both ends of the bypass of a three-way valve stand between the shutoffs of the coil",
    why="With one end outside, the shutoffs do not part the control valve from the main: water comes round through the "
    "bypass, or is held back by a valve that nobody expects there.",
    mend="move the shutoff to the main's side of the tee where the bypass begins",
    sources=("a three-way valve maker's diverting guide", "a second maker's mounting sheet"),
    agreement="2 sources read for, 0 against; that the coil can be shut off at all is a rule of its own",
)
def bypass_outside_shutoffs(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A bypass whose tee on the other leg has no shutoff between it and the main."""
    for valve in _three_way(hookup):
        tee = _other_end(hookup, sections, valve)
        if tee is None:
            continue
        for tag in [tag for tag in concerned(hookup, valve, tee) if tag in legs(hookup, sections)]:
            for leg in legs(hookup, sections)[tag].values():
                at = next((n for n, c in enumerate(leg.way) if c is tee), None)
                if at is not None and leg.main is not None and not is_behind_shutoff(leg, at):
                    yield fault(
                        f"no shutoff between `{tee.label}`, where the bypass of `{valve.label}` joins, and main "
                        f"`{leg.main.tag}`",
                        tee.origin[0],
                        about=concerned(hookup, tee, valve),
                        notes=(Note(f"`{valve.label}` is here", valve.origin[0]),),
                        mend=_shutoff_outside(hookup, leg, tee),
                    )


def _valve(hookup: Hookup, both: Mapping[LegName, Leg]) -> Mend:
    """A control valve inside the shutoff of the return, and the strainer that goes with it on the supply."""
    supply, back = both["supply"], both["return"]
    before, behind = supply.shutoff(), back.shutoff()
    if before is None or behind is None:
        return ()
    strained = supply.having("strains")
    strainer = () if strained else inside(hookup, "supply", supply.way[before], "strainer", "    strainer blowdown")
    return strainer + inside(hookup, "return", back.way[behind], "control valve")


def _shutoff_outside(hookup: Hookup, leg: Leg, item: Component) -> Mend:
    at = leg.shutoff()
    return outside(hookup, leg.name, item, leg.way[at]) if at is not None else ()


def _valves(hookup: Hookup, sections: Sections, coil: str) -> list[tuple[Leg, int, Component]]:
    """The control valves on the two legs of a coil, in flow order, each with its leg and place."""
    both = legs(hookup, sections)[coil]
    return [(leg, n, c) for leg in both.values() for n, c in leg.placed("controls")]


def _three_way(hookup: Hookup) -> Iterator[Component]:
    for component in hookup.components():
        if component.kind.ports == "three-way" and component.kind.can("controls"):
            yield component


def _bypass_flows_in(hookup: Hookup, valve: Component) -> bool | None:
    """Whether water comes in at the side port as the lines are written; None if nothing is joined to it."""
    for _, _, data in hookup.graph.in_edges(valve.id, data=True):
        if data["joint"].port_b == "bypass":
            return True
    for _, _, data in hookup.graph.out_edges(valve.id, data=True):
        if data["joint"].port_a == "bypass":
            return False
    return None


def _other_end(hookup: Hookup, sections: Sections, valve: Component) -> Component | None:
    """The tee at the far end of the bypass of a three-way valve."""
    at, port, seen = valve.id, "bypass", {valve.id}
    while True:
        step = next(((o, back) for p, o, back, _ in sections.neighbours[at] if p == port and o not in seen), None)
        if step is None:
            return None
        at, back = step
        seen.add(at)
        component = hookup.component(at)
        if back == "branch":
            return component
        if back not in ("in", "out"):
            return None
        port = "out" if back == "in" else "in"
