"""Services stay apart, and every end of the hookup leads somewhere."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..analysis.legs import LEGS, Leg
from ..analysis.places import add, doubled, is_asked
from ..analysis.saying import way
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, write
from ..model.span import Span
from .mains import carries_unknown
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

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
    needs="what every main carries",
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
def service_mix_up(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A walk through open valves that meets mains or coils of two services, or a main of which nobody knows."""
    seen: set[str] = set()
    if len({c.service for c in sections.coils_and_mains}) < 2:
        return
    for start in sections.coils_and_mains:
        if start.id in seen:
            continue
        paths: dict[str, tuple[str, ...]] = {start.id: (start.id,)}
        met: dict[str, Component] = {}
        coils: list[Component] = []
        unknown: list[Component] = []
        queue = deque([start.id])
        while queue:
            at = queue.popleft()
            component = hookup.component(at)
            if component.closed and component.kind.can("isolates"):
                continue
            if component.kind.ports in ("coil", "main"):
                seen.add(at)
                if component.service:
                    met.setdefault(component.service, component)
                else:
                    unknown.append(component)
                if component.kind.ports == "coil":
                    coils.append(component)
            for _, beside, _, _ in sections.neighbours[at]:
                if beside not in paths:
                    paths[beside] = (*paths[at], beside)
                    queue.append(beside)
        if unknown:
            yield from (cannot_tell(coil.tag, carries_unknown(unknown)) for coil in coils)
        for other in [c for service, c in met.items() if start.service not in (service, "")]:
            valves = [hookup.component(id) for id in paths[other.id] if hookup.component(id).kind.can("isolates")]
            shut = ", ".join(f"`{v.label}`" for v in valves) or "none"
            line = hookup.lines.get(hookup.component(paths[other.id][len(paths[other.id]) // 2]).line)
            wrong = _wrong_main(hookup, sections, paths[other.id])
            yield fault(
                f"`{start.tag}` on `{start.service}` and `{other.tag}` on `{other.service}` stand open to each other",
                wrong.span if wrong is not None else line.span if line is not None else other.origin[0],
                about=tuple(c.tag for c in (start, other, *valves) if c.tag),
                label=wrong.label if wrong is not None else "",
                notes=(
                    Note(f"the way: {way(hookup, paths[other.id])}"),
                    Note(f"valves on it, all open: {shut}"),
                    *(wrong.notes if wrong is not None else ()),
                ),
                help=wrong.help if wrong is not None else "",
                mend=wrong.mend if wrong is not None else _parted(hookup, valves),
            )


@dataclass(frozen=True, slots=True)
class _Wrong:
    """The `from` or `to` of a coil's own line that names a main of another service, and how that is mended."""

    span: Span
    label: str
    notes: tuple[Note, ...]
    help: str
    mend: Mend


def _wrong_main(hookup: Hookup, sections: Sections, path: Sequence[str]) -> _Wrong | None:
    """The leg of a coil on a way between two services that runs to a main of another one, which is known by the coils
    that are on it."""
    both = legs(hookup, sections)
    mains = [c for id in path if (c := hookup.component(id)).kind.ports == "main"]
    ends = [leg for id in (path[0], path[-1]) for leg in both.get(id, {}).values()]
    odd = [leg for leg in ends if leg.main in mains and leg.main.service != hookup.coils[leg.coil].service]
    at = _joins(hookup, odd[0]) if odd else None
    main = odd[0].main if odd else None
    if at is None or main is None or not main.service:
        return None
    coil, name = hookup.component(odd[0].coil), odd[0].name
    others = [o for tag, o in both.items() if o[name].main is main and hookup.coils[tag].service == main.service]
    there = _joins(hookup, others[0][name]) if others else None
    notes = (Note(f"coil `{others[0][name].coil}` on `{main.service}` has it here", there),) if there else ()
    right = {m.tag for o in both.values() if (m := o[name].main) is not None and m.service == coil.service}
    instead = f"main {min(right)}" if len(right) == 1 else f"a main of `{coil.service}`"
    help = f"run the {name} of `{coil.tag}` {'from' if name == 'supply' else 'to'} {instead}"
    return _Wrong(
        at, f"brings `{main.service}`", notes, help, write(at, instead, f"main {main.tag}") if len(right) == 1 else ()
    )


def _joins(hookup: Hookup, leg: Leg) -> Span | None:
    """Where the file says which main a leg comes from or goes to."""
    if not leg.joints:
        return None
    line = hookup.lines.get(leg.joints[0 if leg.name == "supply" else -1].line)
    return line.points[0 if leg.name == "supply" else 1] if line is not None else None


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
