"""Reducers, ways of joining by size, flange faces, and room for the disc of a butterfly valve."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.places import below, is_asked
from ..analysis.sections import Sections
from ..catalogue.limits import limit
from ..model.ends import End
from ..model.finding import Finding, Note
from ..model.hookup import NOT_MADE_UP, Component, Hookup
from ..model.mend import Mend, write
from ..passes.mate import same_drilling
from ..passes.mirror import as_drawn
from .registry import concerned, fault, rule

_RUN = {"in": "out", "out": "in"}
_FLANGED = ("flange", "lug", "wafer")
#: Flanges of these break when a bolt circle outside the gasket bends them.
_BRITTLE = ("iron", "bronze", "brass")


@rule(
    "reducer-holds-air",
    severity="should",
    asks="reducers in level pipe are eccentric: level side up on water, down on steam",
    why="Air stays in the step at the top of the larger pipe, and water in the step at its bottom on steam.",
    mend="write `reducer SIZE, eccentric, flat on top` (on steam `flat on bottom`), or move it into a vertical run",
    sources=(
        "State of Delaware project manual 23 21 13, part 3 (level side up)",
        "UFGS 15501 (water: tops in line; steam: bottoms in line)",
        "three articles on reducers",
    ),
    agreement="5 sources read for; one lets reducers at a control valve be flat on the bottom",
)
def reducer_holds_air(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A concentric reducer in a run that is not vertical where an eccentric one is made, or the wrong side level.

    Threaded and soldered reducers are concentric in every run, since no eccentric ones are in the catalogue.
    """
    for component in hookup.components():
        if "reducer" not in component.kind.name or component.heading in ("up", "down"):
            continue
        service = hookup.services.get(component.service)
        steam = service is not None and service.fluid == "steam"
        wrong = "flat on top" if steam else "flat on bottom"
        if "concentric" in component.kind.name:
            said = f"the concentric reducer {_sizes(component)} in this level run keeps {'water' if steam else 'air'}"
        elif wrong in component.remarks and not _at_control_valve(hookup, sections, component):
            said = f"{wrong}, the reducer {_sizes(component)} in this level run keeps {'water' if steam else 'air'}"
        else:
            continue
        right = "flat on bottom" if steam else "flat on top"
        mend = write(component.origin[0], right, wrong) if wrong in component.remarks else ()
        yield fault(said, component.origin[0], about=concerned(hookup, component), mend=mend)


@rule(
    "joined-off-size",
    severity="should",
    asks="steel pipe above NPS 2 is welded, flanged or grooved, not threaded",
    why="Large threads take tools and force that few crews have, and leave little wall: they leak.",
    mend="give these sizes a `welded` or `grooved` row in the spec, or buy the item flanged",
    sources=("State of Delaware project manual 23 21 13, part 3", "UFGS 15741 (strainers)"),
    agreement="2 sources read for the split at NPS 2; 1 is stricter on glycol",
)
def joined_off_size(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A line whose spec threads its size, or a threaded item in a line that is joined otherwise, above NPS 2.

    Coil connections are the maker's and do not count.
    """
    most = limit("threaded up to")
    told: set[tuple[str, str]] = set()
    for component in hookup.components():
        line = hookup.lines.get(component.line)
        if line is None or " > " in component.id or component.size.inches <= most:
            continue
        row = line.spec.row(component.size)
        threaded = any("thread" in end.form and end.size.inches > most for end in component.ends.values())
        if row is not None and row.joined == "threaded":
            if (line.id, component.size.label) not in told:
                told.add((line.id, component.size.label))
                yield fault(
                    f"spec `{line.spec.name}` threads the {component.size} pipe of `{line.id}`",
                    line.span,
                    about=concerned(hookup, component),
                    notes=(Note("the row of the spec", row.origin[0]),) if row.origin else (),
                )
        elif threaded:
            yield fault(
                f"`{component.label}` has threaded ends in size {component.size}",
                component.origin[0],
                about=concerned(hookup, component),
                mend=_flanged(component),
            )


def _flanged(item: Component) -> Mend:
    """An item bought flanged, where it is made so and its line says how it is threaded, or a tag to say it behind."""
    if item.kind.choice(item.size, "flanged") is None:
        return ()
    if item.ask is not None and item.ask.word == "threaded":
        return write(item.origin[0], "flanged", "threaded")
    silent = item.tag and is_asked(item) and (item.ask is None or not item.ask.word)
    return write(item.origin[0], f"{item.tag}, flanged", item.tag) if silent else ()


@rule(
    "flange-faces-differ",
    severity="must",
    asks="a flat-faced iron or bronze flange bolts to a flat face, with a gasket over the whole face",
    why="Against a raised face the bolts bend the iron flange over the edge of the gasket, and it cracks.",
    mend="leave `raised face` away, so that a flat-faced steel flange is put against it, or order it in `steel`",
    sources=(
        "ASME B31.1 (raised face to be removed against flat iron), as two discussions quote it",
        "ASME B31.3 paragraph 312.2",
        "a flange handbook",
    ),
    agreement="3 sources read for; 1 allows the 1/16 in raised face",
)
def flange_faces_differ(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Flanged ends that meet, or were to meet, one flat and of iron or bronze, the other with a raised face."""
    for u, v, joint in hookup.joints():
        if joint.kind not in ("bolted", NOT_MADE_UP):
            continue
        for (id, end), (other_id, other) in ((u, joint.end_a), (v, joint.end_b)), ((v, joint.end_b), (u, joint.end_a)):
            if not faces_differ(end, other):
                continue
            a, b = hookup.component(id), hookup.component(other_id)
            yield fault(
                f"the {end.metal} flange of `{a.label}` bolts to the raised face of `{b.label}`",
                a.origin[0] if not a.id.count(" > ") else b.origin[0],
                about=concerned(hookup, a, b),
                notes=(Note(f"`{b.label}` ends in {other}", b.origin[0]),),
                mend=write(a.origin[0], "steel", "raised face") if a.ask is not None and a.ask.facing == "RF" else (),
            )


def faces_differ(flat: End, raised: End) -> bool:
    """Whether one is a flat or class 125 flange end of a brittle metal, and the other has a raised face."""
    if flat.metal not in _BRITTLE or raised.metal in _BRITTLE or raised.facing != "RF":
        return False
    if flat.form not in _FLANGED or raised.form not in _FLANGED:
        return False
    return (flat.facing == "FF" or flat.rating == "125") and same_drilling(flat, raised)


@rule(
    "disc-hits-neighbour",
    severity="should",
    asks="pipe stands between a butterfly valve and a check valve, reducer, strainer or another butterfly valve",
    why="The disc swings out of the body into what is bolted to it: it strikes, and the valve does not open.",
    mend="put a move, such as `left 6 in`, between the two, so that a flanged spool stands there",
    sources=("a butterfly valve maker's installation notes",),
    agreement="1 source read for; the reach of the disc is the maker's to say",
)
def disc_hits_neighbour(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A valve with a disc and a neighbour with a narrow bore, with flanges at most between them."""
    done: set[tuple[str, str]] = set()
    for valve in sections.having("swings"):
        for port in _RUN:
            other = _bolted_on(hookup, sections, valve, port)
            if other is None or not _is_narrow(other) or (other.id, valve.id) in done:
                continue
            done.add((valve.id, other.id))
            yield fault(
                f"the disc of `{valve.label}` swings into `{other.label}`, which is bolted to it",
                valve.origin[0],
                about=concerned(hookup, valve, other),
                notes=(Note(f"`{other.label}` is here", other.origin[0]),),
                mend=_apart(hookup, valve, other),
            )


def _apart(hookup: Hookup, one: Component, other: Component) -> Mend:
    """A piece of pipe between two neighbours on one line, on in the direction in which the line runs there."""
    if one.line != other.line or not (is_asked(one) and is_asked(other)):
        return ()
    first = min(one, other, key=lambda c: c.origin[0].line)
    return below(hookup, first, f"{as_drawn(hookup, one.heading) or 'left'} 6 in")


def _is_narrow(component: Component) -> bool:
    can = component.kind.can
    return can("swings") or can("checks") or can("strains") or "reducer" in component.kind.name


def _bolted_on(
    hookup: Hookup, sections: Sections, valve: Component, port: str, *, stubs: bool = False
) -> Component | None:
    """The next thing on one side behind flanges (and pipe that the file does not mention), None if it is pipe."""
    at = valve.id
    while True:
        step = sections.beyond(at, port)
        if step is None:
            return None
        at, back, _ = step
        component = hookup.component(at)
        stub = component.pipe is not None and stubs and not component.id.endswith("> run")
        if component.pipe is not None and not stub:
            return None
        if component.kind.group != "flanges" and not stub:
            return component
        port = _RUN[back]


def _at_control_valve(hookup: Hookup, sections: Sections, reducer: Component) -> bool:
    beside = [_bolted_on(hookup, sections, reducer, port, stubs=True) for port in _RUN]
    return any(other is not None and other.kind.can("controls") for other in beside)


def _sizes(reducer: Component) -> str:
    return f"{reducer.size} x {reducer.branch_size}" if reducer.branch_size is not None else str(reducer.size)
