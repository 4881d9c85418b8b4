"""Services stay apart, and every end of the hookup leads somewhere."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, write
from .isolation import way
from .legs import LEGS
from .places import add, doubled, is_asked
from .registry import Verdict, concerned, fault, rule, yes
from .sections import Sections
from .water import legs

_PORTS: dict[str, tuple[str, ...]] = {
    "inline": ("in", "out"),
    "end": ("in",),
    "tee": ("in", "out", "branch"),
    "three-way": ("in", "out", "bypass"),
    "coil": ("supply", "return"),
    "main": (),
}


def ports_of(component: Component) -> tuple[str, ...]:
    """The ports of a component that must be joined to something."""
    return _PORTS[component.kind.ports]


@rule(
    "service-mix-up",
    severity="must",
    title="Apart from other services",
    asks="with every valve in its normal position, no way leads from one service to another",
    why="Glycol leaks into the water, or water thins the glycol below the strength it was chosen for; nobody sees it "
    "happen.",
    mend="put a valve between the two and mark it `normally closed`, or correct the main or the service",
    sources=(
        "UFGS 15211 (each system is pressurised alone to prove that there is no cross-connection)",
        "common practice, no source, for hydronic services as such",
    ),
    agreement="3 sources on what counts as separation; none found for the rule itself",
)
def service_mix_up(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A walk through open valves that meets mains or coils of two services."""
    seen: set[str] = set()
    if len({c.service for c in sections.coils_and_mains}) < 2:
        return
    for start in sections.coils_and_mains:
        if start.id in seen:
            continue
        paths: dict[str, tuple[str, ...]] = {start.id: (start.id,)}
        met: dict[str, Component] = {}
        queue = deque([start.id])
        while queue:
            at = queue.popleft()
            component = hookup.component(at)
            if component.closed and component.kind.can("isolates"):
                continue
            if component.kind.ports in ("coil", "main"):
                seen.add(at)
                met.setdefault(component.service, component)
            for _, beside, _, _ in sections.neighbours[at]:
                if beside not in paths:
                    paths[beside] = (*paths[at], beside)
                    queue.append(beside)
        for other in [c for service, c in met.items() if service != start.service]:
            valves = [hookup.component(id) for id in paths[other.id] if hookup.component(id).kind.can("isolates")]
            shut = ", ".join(f"`{v.label}`" for v in valves) or "none"
            line = hookup.lines.get(hookup.component(paths[other.id][len(paths[other.id]) // 2]).line)
            yield fault(
                f"`{start.tag}` on `{start.service}` and `{other.tag}` on `{other.service}` stand open to each other",
                line.span if line is not None else other.origin[0],
                about=tuple(c.tag for c in (start, other, *valves) if c.tag),
                notes=(Note(f"the way: {way(hookup, paths[other.id])}"), Note(f"valves on it, all open: {shut}")),
                mend=_parted(hookup, valves),
            )


def _parted(hookup: Hookup, valves: Iterable[Component]) -> Mend:
    """The only shutoff between the two that is on no coil's own line, normally shut, and a second one behind it."""
    between = [v for v in valves if is_asked(v) and v.line in hookup.lines and not hookup.lines[v.line].coil]
    if len(between) != 1 or not between[0].tag:
        return ()
    valve = between[0]
    old = "normally open" if valve.position_said else valve.tag
    new = "normally closed" if valve.position_said else f"{valve.tag}, normally closed"
    return write(valve.origin[0], new, old) + doubled(hookup, valve)


@rule(
    "dangling-end",
    severity="must",
    asks="every port is joined to something: a main, a neighbour, a cap, a plug or a valve with an end",
    why="An open end is a spill at the first fill; on the diagram it is usually a line somebody forgot to draw on.",
    mend="run the line on (`to main TAG`, a crossover), or end it with a `cap`, `plug` or `blind flange`",
    sources=(
        "State of Delaware project manual 23 21 13, part 3 (a drain is a valve and a capped nipple)",
        "UFGS 15501, 15502",
    ),
    agreement="5 sources read for closed ends between the shutoffs, 0 against",
)
def dangling_end(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A port of a component that no joint leads to."""
    for component in hookup.components():
        joined = {port for port, _, _, _ in sections.neighbours[component.id]}
        for port in ports_of(component):
            if port in joined:
                continue
            help = ""
            if component.kind.ports == "coil":
                what = f"the {port} of coil `{component.label}` is joined to nothing"
                to = "to" if port == "supply" else "from"
                help = f"write the line `{port} {to} {component.label}, SIZE`"
            else:
                what = f"the {_SIDE[port]} of {_named(component)} is joined to nothing"
                help = "say where the line starts: `from main TAG`" if port == "in" else ""
            mend = _closed(hookup, component) if port == "branch" else ()
            yield fault(what, component.origin[0], about=concerned(hookup, component), help=help, mend=mend)


def _closed(hookup: Hookup, tee: Component) -> Mend:
    """A plug, or a cap where the pipe is not threaded, on the open branch of a tee of the file."""
    line = hookup.lines.get(tee.line)
    row = line.spec.row(tee.branch_size or tee.size) if line is not None else None
    if row is None or not is_asked(tee):
        return ()
    return add("last under", tee.origin[0], "plug" if row.joined == "threaded" else "cap")


@rule(
    "mains-swapped",
    severity="must",
    title="Own mains",
    asks="supply and return of a coil are on two mains",
    why="Both legs on one main leave no difference in pressure between them: nothing flows through the coil.",
    mend="correct the tag of one of the two mains",
    sources=("common practice, no source",),
    agreement="not counted",
)
def mains_swapped(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A coil whose two legs end at one main."""
    for tag, both in legs(hookup, sections).items():
        facts = hookup.coils[tag]
        supply, back = (both[name].main for name in LEGS)
        if supply is None or back is None:
            continue
        if supply is back:
            line = hookup.lines.get(f"return from {tag}")
            message = f"supply and return of coil `{tag}` are both on main `{supply.tag}`"
            yield fault(message, line.span if line is not None else facts.span, about=(tag, supply.tag))
        else:
            yield yes(tag, f"{supply.tag} and {back.tag}")


_SIDE = {"in": "inlet", "out": "outlet", "branch": "branch", "bypass": "bypass side"}


def _named(component: Component) -> str:
    return f"`{component.tag}`" if component.tag else f"this {component.kind.name}"
