"""Bypasses: the coil comes off without them, a hand bypass stays shut, a pumped ring has its element and shutoffs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.legs import Leg
from ..analysis.places import above, below, is_asked, is_nested, move, shutoff_for, side_lines
from ..analysis.saying import called
from ..analysis.sections import Sections
from ..analysis.water import hanging, legs, ring_flow
from ..model.finding import Finding, Note
from ..model.hookup import NOT_MADE_UP, Component, Hookup
from ..model.mend import Mend, write
from ..model.quantity import QuantityProblem, read_quantity
from .registry import Verdict, cannot_tell, concerned, fault, no, rule, yes

_RUN = {"in": "out", "out": "in"}
_SIDES = {"tee": "branch", "three-way": "bypass"}
_PUMPED = (
    "an injection pumping guide of a valve maker",
    "a control sequence for preheat coils with pumps",
)


@rule(
    "bypass-comes-off-with-coil",
    severity="should",
    title="Coil parts from bypass",
    asks="where a bypass runs round a coil, a joint that opens stands between the coil and each end of the bypass",
    why="Without it the bypass and its valves have to be taken apart before the coil can leave its casing.",
    mend="put a `union` or a flange pair between the coil and the tee of the bypass",
    sources=("a three-way valve maker's diverting guide", "a second maker's mounting sheet (four mountings)"),
    agreement="4 sources read for the three-way valve, 0 against",
)
def bypass_comes_off_with_coil(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Each end of a bypass, and the joints on the leg between it and the coil."""
    for tag, both in legs(hookup, sections).items():
        for ends in _round_coil(hookup, sections, both["supply"], both["return"]):
            for leg, end in zip((both["supply"], both["return"]), ends, strict=True):
                opens = _opens_between(leg, end)
                if opens is None:
                    continue  # what would stand there is not known; the rules on joints say so
                if opens:
                    yield yes(tag, opens, leg.name)
                    continue
                yield no(tag, f"solid from {called(end)} to the coil", leg.name)
                yield fault(
                    f"nothing can be opened between coil `{tag}` and `{end.label}`, where its bypass joins the "
                    f"{leg.name}",
                    end.origin[0],
                    about=(tag, *concerned(hookup, end)),
                )


@rule(
    "hand-bypass-open",
    severity="note",
    asks="a hand bypass round a control valve is normally closed, and its valve has a tag",
    why="With the bypass open nothing holds the temperature of the air, and the ring of a pump against frost is short "
    "of water; a valve without a tag is on no list that somebody checks.",
    mend="write `normally closed` behind the valve in the bypass, with a tag",
    sources=("UFGS 15501, 15502 (bypasses round steam valves and traps only)", "common practice on coils"),
    agreement="none read asks for a hand bypass on a coil; with a pump against frost one may only be shut and tagged",
)
def hand_bypass_open(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A string of pipe from a tee ahead of a two-way control valve to one behind it, with no tagged valve shut."""
    seen: set[str] = set()
    for both in legs(hookup, sections).values():
        for leg in both.values():
            for n, valve in leg.placed("controls"):
                if valve.kind.ports != "inline" or valve.id in seen:
                    continue
                seen.add(valve.id)
                behind = {c.id for c in leg.way[n + 1 :]}
                for tee in leg.way[:n]:
                    way, end = side_of(hookup, sections, tee)
                    if end is None or end.id not in behind or any(c.kind.can("controls") for c in way):
                        continue
                    if not any(c.closed and c.tag and not c.role for c in way):
                        hand = next((c for c in way if c.kind.can("isolates") or c.kind.can("throttles")), tee)
                        yield fault(
                            f"the bypass round `{valve.label}` is not kept shut by a valve with a tag",
                            hand.origin[0],
                            about=concerned(hookup, valve, hand),
                            notes=(Note(f"`{valve.label}` is here", valve.origin[0]),),
                            mend=write(hand.origin[0], f"{hand.tag}, normally closed", hand.tag) if hand.tag else (),
                        )


@rule(
    "pump-without-shutoffs",
    severity="should",
    title="Pump shutoffs",
    asks="a coil's own pump has shutoffs of its own",
    why="Without them the coil is drained whenever the pump is taken out, in winter most of all.",
    mend="put a shutoff, a drain and a vent on the pump's inlet side, and a shutoff on its outlet",
    sources=_PUMPED,
    agreement="2 sources read show it so, 0 otherwise",
)
def pump_without_shutoffs(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A pump on a coil's leg that is open to a coil or a main with all shutoffs closed."""
    for tag, both in legs(hookup, sections).items():
        for pump in [c for leg in both.values() for c in leg.having("pumps")]:
            section = sections.of(sections.place(pump.id, "in"))
            reached = [*section.coils, *section.mains]
            if not reached:
                yield yes(tag, ", ".join(dict.fromkeys(called(v) for v, _ in section.valves if not v.role)))
                continue
            what = "coil" if section.coils else "main"
            yield fault(
                f"with every shutoff closed pump `{pump.label}` is still open to {what} `{reached[0].tag}`",
                pump.origin[0],
                about=concerned(hookup, pump),
                mend=_shutoffs_for(hookup, sections, pump),
            )


@rule(
    "pump-under-coil-flow",
    severity="should",
    title="Pump flow",
    asks="a coil's own pump is rated for the whole flow of the coil",
    why="A pump for less leaves the water in the tubes slow just when the control valve shuts and it alone moves it.",
    mend="order the pump for the flow of the coil",
    sources=_PUMPED,
    agreement="2 sources read for, 0 against",
    needs="`flow 60 gpm` in the coil's block, and `60 gpm` behind the pump",
)
def pump_under_coil_flow(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The flow written behind a pump on a coil's leg against the flow of the coil."""
    for tag, both in legs(hookup, sections).items():
        flow = hookup.coils[tag].flow_gpm
        for pump in [c for leg in both.values() for c in leg.having("pumps")]:
            said, rated = _rated(pump)
            if flow is None or rated is None:
                yield cannot_tell(tag, "say the `flow` of the coil, and `60 gpm` behind its pump")
            elif rated >= flow:
                yield yes(tag, f"{called(pump)}: {rated:g} gpm")
            else:
                yield fault(
                    f"pump `{pump.label}` is for {rated:g} gpm, and coil `{tag}` takes {flow:g} gpm",
                    pump.origin[0],
                    about=concerned(hookup, pump),
                    mend=write(pump.origin[0], f"{flow:g} gpm", said),
                )


@rule(
    "element-outside-pumped-loop",
    severity="should",
    title="Element in pumped loop",
    asks="a temperature element of a coil with a pump of its own stands in the ring of pump and coil",
    why="Outside the ring the water stands still when the control valve shuts, and the element tells of other water "
    "than that in the tubes.",
    mend="move the element behind the tee of the bypass on the supply, or ahead of the one on the return",
    sources=_PUMPED,
    agreement="2 sources read for, 0 against",
    needs="a `temperature element` or `thermowell` on the coil's lines",
)
def element_outside_pumped_loop(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The elements on a coil's lines, and whether what they hang on is on the pumped ring."""
    standing: list[tuple[Component, Component]] | None = None
    for tag, both in legs(hookup, sections).items():
        pumps = [c for leg in both.values() for c in leg.having("pumps")]
        ring = ring_flow(hookup, tag, with_the_arrows=True) if pumps else set()
        if not ring:
            continue  # rule `freeze-pump-loop-broken` judges that
        standing = _elements(hookup, sections) if standing is None else standing
        inside = [element for element, outlet in standing if outlet.id in ring]
        others = [pair for pair in standing if tag in concerned(hookup, pair[0])]
        if inside:
            yield yes(tag, ", ".join(called(element) for element in inside))
        elif others:
            element, outlet = others[0]
            pump = next((pump for pump in pumps if pump.id in ring), pumps[0])
            yield fault(
                f"`{element.label}` stands outside the ring of pump and coil `{tag}`",
                element.origin[0],
                about=(tag, *concerned(hookup, element)),
                mend=() if is_nested(outlet, element) else move(hookup, element, "below", pump),
            )
        else:
            yield cannot_tell(tag, "write the `temperature element` where it stands")


def side_of(hookup: Hookup, sections: Sections, start: Component) -> tuple[list[Component], Component | None]:
    """What hangs on the side port of a tee or three-way valve, and what its far end joins by a side port; None if it
    ends elsewhere."""
    port = _SIDES.get(start.kind.ports)
    if port is None:
        return [], None
    at, way = start.id, list[Component]()
    seen = {at}
    while True:
        step = next(((o, back) for p, o, back, _ in sections.neighbours[at] if p == port and o not in seen), None)
        if step is None:
            return way, None
        at, back = step
        seen.add(at)
        component = hookup.component(at)
        if back in _SIDES.values():
            return way, component
        if back not in _RUN:
            return way, None
        way.append(component)
        port = _RUN[back]


def _round_coil(hookup: Hookup, sections: Sections, supply: Leg, back: Leg) -> Iterator[tuple[Component, Component]]:
    """The two ends of each bypass of a coil: on its supply and on its return."""
    on_return = {c.id: c for c in back.way}
    for start in supply.way:
        _, end = side_of(hookup, sections, start)
        if end is not None and end.id in on_return:
            yield start, end


def _opens_between(leg: Leg, end: Component) -> str | None:
    """What opens on a leg between the coil and a component of it; empty if nothing, None if a joint is not known."""
    way = leg.way[::-1] if leg.name == "supply" else leg.way
    joints = leg.joints[::-1] if leg.name == "supply" else leg.joints
    for joint, component in zip(joints, way, strict=False):
        if joint.kind == NOT_MADE_UP:
            return None
        if joint.breaks:
            return f"{'flange' if joint.kind == 'bolted' else joint.kind} {joint.end_a.size}"
        if component is end:
            return ""
        if component.kind.can("breaks"):
            return f"{component.kind.name} {component.size}"
    return ""


def _rated(pump: Component) -> tuple[str, float | None]:
    """The flow that a file writes behind a pump, as written and in gpm."""
    for remark in pump.remarks:
        found = read_quantity(remark, "flow")
        if not isinstance(found, QuantityProblem):
            return remark, float(found)
    return "", None


def _shutoffs_for(hookup: Hookup, sections: Sections, pump: Component) -> Mend:
    """A shutoff on each side of a pump that has none, and drains and a vent for the pieces that they part."""
    shutoff = shutoff_for(hookup.lines[pump.line].size)
    made: Mend = ()
    for port in ("in", "out"):
        at = _beside(hookup, sections, pump, port)
        if at is not None and port == "in":
            made += above(at, shutoff, "drain 3/4", "vent 1/2")
        elif at is not None:
            made += below(hookup, at, "drain 3/4", "vent 1/2", shutoff, "drain 3/4")
    return made


def _beside(hookup: Hookup, sections: Sections, pump: Component, port: str) -> Component | None:
    """What a shutoff goes beside on one side of a pump; None if one is there.

    The flexible connector of a pump and the check valve on its outlet come off with it.
    """
    at, side, last = pump, port, pump
    while True:
        step = sections.beyond(at.id, side)
        if step is None:
            break
        at, side = hookup.component(step[0]), _RUN.get(step[1], "")
        if at.kind.can("isolates"):
            return None
        if not side or at.line != pump.line or side_lines(hookup, at):
            break
        if is_asked(at) and (at.kind.can("flexes") or at.kind.can("checks")):
            last = at
    return last


def _elements(hookup: Hookup, sections: Sections) -> list[tuple[Component, Component]]:
    """All temperature elements and wells, each with the component of a line that it hangs on."""
    found = [c for c in sections.having("reads temperature") if not c.kind.can("self-sealing")]
    strings = [(element, hanging(hookup, sections, element)) for element in found]
    return [(element, string[-1]) for element, string in strings if string]
