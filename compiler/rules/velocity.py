"""Velocity, friction and the energy code's greatest flow, where a coil's flow is said."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from ..analysis.legs import LEGS, LegName
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..catalogue.dimensions import PipeWall, pipe_wall
from ..catalogue.flow import friction, velocity
from ..catalogue.limits import flow_caps, limit
from ..model.finding import Finding
from ..model.hookup import Component, Hookup, LineInfo
from ..model.mend import Mend, write
from ..model.size import SIZES, Size
from .registry import Verdict, cannot_tell, fault, rule, yes

#: Sizes of pipe and tube that are made and that no valves come in, or nobody stocks: common practice, no source.
_RARE = ("5/8", "3-1/2", "5")
_SAY = "say its `flow`, and that of every coil on the same line"
#: A piece of pipe of one size on one line, the flow through it, and the coils it serves.
_Piece = tuple[LineInfo, Size, float, tuple[str, ...]]


@rule(
    "velocity-high",
    severity="should",
    title="Velocity",
    asks="water runs no faster than 4 ft/s in occupied areas and 8 ft/s elsewhere",
    why="Faster water is heard in the rooms, and wears elbows and seats.",
    mend="make the line a size larger",
    sources=("VA HVAC Design Manual, piping",),
    agreement="2 sources on different bases",
    needs="`flow` of the coils; `occupied area` behind a line",
)
def velocity_high(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Flow through the bore of each size of pipe on each line."""
    fast: set[str] = set()
    told: dict[str, float] = {}
    for line, size, gpm, coils in _pieces(hookup, sections):
        wall = _wall(line, size)
        if wall is None:
            continue
        speed = velocity(gpm, float(wall.id))
        most = limit("velocity occupied" if "occupied area" in line.remarks else "velocity main")
        told |= {tag: max(speed, told.get(tag, 0.0)) for tag in coils}
        if speed > most:
            fast.update(coils)
            yield fault(
                f"`{line.id}` carries {gpm:g} gpm through size {size} at {speed:.1f} ft/s; {most} ft/s are the most",
                line.span,
                about=coils,
                mend=_larger(hookup, line, size, gpm),
            )
    for tag in legs(hookup, sections):
        if tag in told and tag not in fast:
            yield yes(tag, f"{told[tag]:.1f} ft/s at most")
        elif tag not in told:
            yield cannot_tell(tag, _SAY)


@rule(
    "friction-high",
    severity="note",
    asks="water loses no more than 4 ft of head in 100 ft of pipe",
    why="The pump pays for every foot, hour after hour.",
    mend="make the line a size larger",
    sources=("VA HVAC Design Manual, piping",),
    agreement="1 source read",
    needs="`flow` of the coils; plain water, since glycol runs stiffer",
)
def friction_high(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Darcy and Weisbach for water at 60 F in clean pipe."""
    for line, size, gpm, coils in _pieces(hookup, sections):
        wall, service = _wall(line, size), hookup.services.get(line.service)
        if wall is None or service is None or service.fluid != "water":
            continue
        lost = friction(gpm, float(wall.id), "copper" if _is_copper(line, size) else "steel")
        if lost > limit("friction"):
            yield fault(
                f"`{line.id}` loses {lost:.1f} ft in 100 ft with {gpm:g} gpm through size {size}; "
                f"{limit('friction')} ft are the most",
                line.span,
                about=coils,
                mend=_larger(hookup, line, size, gpm),
            )


@rule(
    "flow-over-code-cap",
    severity="must",
    title="Energy code flow",
    asks="chilled water in pipe of NPS 2-1/2 and larger stays within the energy code's flow for its size",
    why="Pipe that is too small costs pump energy for the life of the building; the code caps it.",
    mend="make the line a size larger",
    sources=("Washington State energy code WAC 51-11C-40337", "ASHRAE 90.1, pipe sizing table (memory)"),
    agreement="2 texts, the same figures",
    needs="`flow` of the coils; `runs 3000 h` and `variable flow` of the service; `design` temperatures",
)
def flow_over_code_cap(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Flow by size against the table; what the file does not say leaves several columns, and all must agree."""
    over: set[str] = set()
    said: dict[str, Verdict] = {}
    for line, size, gpm, coils in _pieces(hookup, sections):
        service = hookup.services.get(line.service)
        if service is None or service.low_f is None or service.low_f > 60:
            continue
        ways = (True, False) if service.variable_flow is None else (service.variable_flow,)
        caps = [cap for varies in ways for cap in flow_caps(size, service.hours, varies)]
        if not caps:
            continue
        if gpm > max(caps):
            over.update(coils)
            yield fault(
                f"`{line.id}` carries {gpm:g} gpm of chilled water in size {size}; the code allows {max(caps)}",
                line.span,
                about=coils,
                mend=_larger(hookup, line, size, gpm),
            )
        elif gpm > min(caps):
            hours = "how many hours it `runs`" if service.hours is None else ""
            flow = "`variable flow` or `constant flow`" if service.variable_flow is None else ""
            add = f"say of {line.service} {' and '.join(word for word in (hours, flow) if word)}"
            said |= {tag: cannot_tell(tag, add) for tag in coils}
        else:
            for tag in coils:
                said.setdefault(tag, yes(tag))
    yield from (verdict for tag, verdict in said.items() if tag not in over)


def _pieces(hookup: Hookup, sections: Sections) -> list[_Piece]:
    """Every size of pipe on every line of the coils' legs, with the flow of all coils behind it.

    Left out where one of these coils does not say its flow. Of several flows through one size the largest stands.
    """
    return sections.once(_find_pieces)


def _find_pieces(hookup: Hookup, sections: Sections) -> list[_Piece]:
    serves: defaultdict[str, dict[LegName, list[str]]] = defaultdict(lambda: {name: [] for name in LEGS})
    parts: dict[str, Component] = {}
    for tag, both in legs(hookup, sections).items():
        for name, leg in both.items():
            for component in leg.way:
                if _is_run(component):
                    serves[component.id][name].append(tag)
                    parts[component.id] = component
    found: dict[tuple[str, Size], _Piece] = {}
    for id, by_leg in serves.items():
        tags = list(dict.fromkeys(tag for tags in by_leg.values() for tag in tags))
        component = parts[id]
        line = hookup.lines.get(component.line)
        if line is None or any(hookup.coils[tag].flow_gpm is None for tag in tags):
            continue
        # What runs out of coils into others is the same water: it counts once.
        gpm = max(sum(hookup.coils[tag].flow_gpm or 0.0 for tag in tags) for tags in by_leg.values())
        before = found.get((line.id, component.size))
        if before is None or before[2] < gpm:
            found[line.id, component.size] = (line, component.size, gpm, tuple(tags))
    return list(found.values())


def _is_run(component: Component) -> bool:
    """A tee, or pipe of the size that the line has there; a stub of another belongs to what is reduced for."""
    if component.pipe is None:
        return component.kind.ports == "tee"
    return component.id.endswith("> run") or component.pipe.along is component.size


def _larger(hookup: Hookup, line: LineInfo, size: Size, gpm: float) -> Mend:
    """The first larger size of the line in which a flow is neither too fast, nor loses too much, nor is over the cap.

    Nothing where the line changes its size on the way: its first line does not say the size of all of it.
    """
    service = hookup.services.get(line.service)
    if size is not line.size or service is None or any(_is_reducer(c, line) for c in hookup.components()):
        return ()
    most = float(limit("velocity occupied" if "occupied area" in line.remarks else "velocity main"))
    for larger in SIZES[SIZES.index(size) + 1 :]:
        wall = _wall(line, larger) if larger.label not in _RARE else None
        if wall is None or velocity(gpm, float(wall.id)) > most:
            continue
        metal = "copper" if _is_copper(line, larger) else "steel"
        caps = flow_caps(larger, service.hours, bool(service.variable_flow))
        if friction(gpm, float(wall.id), metal) <= limit("friction") and gpm <= min(caps, default=gpm):
            return write(line.span, f", {larger}", f", {size}")
    return ()


def _is_reducer(component: Component, line: LineInfo) -> bool:
    """One that the file itself writes in a line."""
    ends = component.ends
    if component.line != line.id or component.between or not ends.keys() >= {"in", "out"}:
        return False
    return ends["in"].size is not ends["out"].size


def _is_copper(line: LineInfo, size: Size) -> bool:
    row = line.spec.row(size)
    return row is not None and row.metal == "copper"


def _wall(line: LineInfo, size: Size) -> PipeWall | None:
    return pipe_wall(line.spec.row(size), size)
