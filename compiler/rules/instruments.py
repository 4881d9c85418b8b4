"""Test ports, thermometers and gauges: what they read, and that they can be read and changed."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.legs import Leg
from ..analysis.places import above, at_coil, is_asked, is_nested, line_name, move
from ..analysis.sections import Sections
from ..analysis.water import ends_on, hanging, legs, toward_coil
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, take_out, write
from .registry import Verdict, concerned, fault, no, rule, yes

_PORT_SOURCES = (
    "a coil maker's factory kit sheets (ports on one or both sides)",
    "two heat pump makers' manuals (needed to verify the flow)",
    "an air handler maker's manual",
)
#: What a reading of the coil alone must not have between the port and the coil.
_DISTURBS = frozenset(("strains", "controls", "balances", "throttles", "isolates", "checks", "pumps"))


@rule(
    "test-port-missing",
    severity="should",
    liquid=True,
    title="Test port",
    asks="a test port or a gauge stands on each side of a coil",
    why="Without a reading on both sides nobody can tell how much water goes through the coil.",
    mend="put a `test port` beside the coil on this leg",
    sources=_PORT_SOURCES,
    agreement="4 sources read for, 0 against",
)
def test_port_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A leg with nothing on it that reads pressure, up to its main."""
    found = sections.once(_ports)
    for tag, both in legs(hookup, sections).items():
        for leg in both.values():
            ports = found[tag, leg.name]
            if ports:
                yield yes(tag, called(ports[-1 if leg.name == "supply" else 0][1]), leg.name)
                continue
            line = hookup.lines.get(line_name(tag, leg.name))
            yield no(tag, "none", leg.name)
            yield fault(
                f"no test port on the {leg.name} of coil `{tag}`",
                line.span if line is not None else hookup.coils[tag].span,
                about=(tag,),
                mend=at_coil(hookup, tag, leg.name, "test port"),
            )


@rule(
    "test-port-reads-more",
    severity="should",
    title="Reads the coil alone",
    asks="between the two test ports stands the coil and nothing else that takes pressure",
    why="With a strainer or a valve between port and coil the reading is of both, and the flow worked out from it is "
    "wrong.",
    mend="move the test port to the coil's side of it",
    sources=_PORT_SOURCES,
    agreement="4 sources show it so, 0 otherwise",
)
def test_port_reads_more(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A strainer, valve or pump between the port nearest to the coil and the coil, or a tee to another line."""
    found = sections.once(_ports)
    for tag, both in legs(hookup, sections).items():
        for leg in both.values():
            ports = found[tag, leg.name]
            if not ports:
                continue
            at, port = ports[-1 if leg.name == "supply" else 0]
            between = [c for c in toward_coil(leg, at) if _disturbs(hookup, sections, c)]
            if not between:
                yield yes(tag, "", leg.name)
                continue
            yield no(tag, f"reads {between[0].label} too", leg.name)
            yield fault(
                f"the test port on the {leg.name} of coil `{tag}` reads `{between[0].label}` with the coil",
                port.origin[0],
                about=(tag, *(c.tag for c in (port, between[0]) if c.tag)),
                notes=(Note(f"`{between[0].label}` is here", between[0].origin[0]),),
                mend=_nearer(hookup, leg, leg.way[at], port, between),
            )


@rule(
    "element-in-dead-leg",
    severity="should",
    asks="thermometers and temperature elements stand in the moving stream",
    why="Water in a branch that nothing flows through takes the temperature of the room; the reading is of the room.",
    mend="put the element on an outlet of the line itself, where water always moves",
    sources=("UFGS 15501, 15502 (separable sockets)", "UFGS 15569 (well in each return)", "an injection pumping guide"),
    agreement="4 sources read for, 0 against",
)
def element_in_dead_leg(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """An element behind a valve or on a run of pipe of its own, or on a line that is normally shut."""
    shut = {c.line: c for c in sections.having("isolates") if c.closed and not c.role and _through(c)}
    for component in sections.having("reads temperature"):
        kind = component.kind
        if kind.can("reads pressure") or kind.ports != "end":
            continue
        string = hanging(hookup, sections, component)
        valve = next((c for c in string if c.kind.can("isolates")), None)
        run = next((c for c in string if c.pipe is not None and c.pipe.heading), None)
        off = shut.get(component.line) if component.line and _is_side_line(hookup, component) else None
        for what, why in ((valve, "behind `{}`"), (run, "at the end of `{}`"), (off, "on a line that `{}` shuts")):
            if what is not None:
                yield fault(
                    f"`{component.label}` stands {why.format(what.label)}, where no water moves",
                    component.origin[0],
                    about=concerned(hookup, component, what),
                    mend=take_out(valve.origin[0]) if what is valve and not valve.tag and not valve.role else (),
                )
                break


@rule(
    "gauge-without-cock",
    severity="should",
    asks="a pressure gauge stands behind a cock",
    why="A gauge breaks or drifts; without a cock the line has to be drained to change it.",
    mend="write `gauge` for gauge and cock together, or put a `gauge cock` between the line and the gauge",
    sources=("UFGS 15501, 15502",),
    agreement="2 texts read for, 0 against",
)
def gauge_without_cock(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Something that reads pressure and does not seal itself, with no valve between it and the line."""
    for component in sections.having("reads pressure"):
        kind = component.kind
        if kind.can("self-sealing") or kind.ports != "end":
            continue
        string = hanging(hookup, sections, component)
        if not any(c.kind.can("isolates") for c in string):
            nested = is_nested(string[-1], component) if string else True
            yield fault(
                f"no cock between the line and `{component.label}`",
                component.origin[0],
                about=concerned(hookup, component),
                mend=above(component, "gauge cock")
                if nested
                else write(component.origin[0], "gauge", "pressure gauge"),
            )


def _nearer(hookup: Hookup, leg: Leg, outlet: Component, port: Component, between: list[Component]) -> Mend:
    """The line of a test port moved past what it should not read; nothing where it is written under a tee."""
    last = between[-1 if leg.name == "supply" else 0]
    if is_nested(outlet, port) or not is_asked(last) or last.line != port.line:
        return ()
    return move(hookup, port, "below" if leg.name == "supply" else "above", last)


def called(component: Component) -> str:
    """A component by its tag, else by its line in the file."""
    return component.tag or f"line {component.origin[0].line}"


def _ports(hookup: Hookup, sections: Sections) -> dict[tuple[str, str], list[tuple[int, Component]]]:
    """The ends on each leg of each coil that read pressure, by their place on the way, in flow order."""
    return {
        (tag, leg.name): [
            (n, end)
            for n, c in enumerate(leg.way)
            if c.kind.ports == "tee"
            for end in ends_on(hookup, sections, c)
            if end.kind.can("reads pressure")
        ]
        for tag, both in legs(hookup, sections).items()
        for leg in both.values()
    }


def _disturbs(hookup: Hookup, sections: Sections, component: Component) -> bool:
    if component.kind.can_any(_DISTURBS):
        return True
    return component.kind.ports == "tee" and any(
        port == "branch" and hookup.component(other).line != component.line
        for port, other, _, _ in sections.neighbours[component.id]
    )


def _through(component: Component) -> bool:
    """Whether a valve stands in the run of its line, not on a branch: steps of a branch are numbered with a dot."""
    return "." not in component.id.rpartition("#")[2] or bool(component.tag)


def _is_side_line(hookup: Hookup, component: Component) -> bool:
    line = hookup.lines.get(component.line)
    return line is not None and not line.coil
