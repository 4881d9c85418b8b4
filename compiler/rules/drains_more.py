"""Drains: behind a shut control valve, their size, what a hose goes on, and air to let the water out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

import networkx as nx

from ..analysis.openings import is_judged, wanting
from ..analysis.sections import Opening, Place, Section, Sections
from ..analysis.spots import find_spot
from ..analysis.water import hanging
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, write
from .registry import Verdict, concerned, fault, rule, yes

#: What stands at the ends of a piece.
_PARTS = frozenset(("isolates", "checks", "controls"))
_MAKE_UP = (
    "State of Delaware project manual 23 21 13, part 3 (NPS 3/4 valve and capped nipple)",
    "UFGS 15569 (3/4 hose bibb or NPS 1 gate)",
    "University of North Carolina piping guideline (line size up to NPS 2)",
)


@rule(
    "drain-missing-behind-valve",
    severity="should",
    liquid=True,
    title="Drains, control valve shut",
    asks="what a shut control valve cuts off from the coil has a drain of its own",
    why="A control valve without power stands as it fails, mostly shut: water behind it does not reach the drain at "
    "the coil and comes out when a joint is opened.",
    mend="put a `drain 3/4` between the control valve and the shutoff",
    sources=(
        "UT Austin design standard, HVAC piping and pumps (any low point)",
        "State of Delaware project manual 23 21 13, part 3",
    ),
    agreement="8 sources read ask for a drain at every low point; that a control valve counts as shut: common practice",
    needs="`fails open` on a control valve that stands open without power",
)
def drain_missing_behind_valve(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A lowest pool that has no drain once control valves are shut, and had one while they were open."""
    if not sections.having("controls"):
        return
    for section, pools in _cut_off(sections):
        places = [at for pool in pools for at in section.pools[pool] if not _is_plain(at[0])]
        if not places:
            continue
        spot = find_spot([at for pool in pools for at in section.pools[pool]], "low", hookup)
        valves = [c for pool in pools for c, _ in section.pools[pool] if c.kind.can("controls")]
        valve = valves[0] if valves else places[0][0]
        yield fault(
            f"with `{valve.label}` shut, the water {spot.words.replace('by ', 'at ', 1)} has no drain",
            spot.span,
            about=concerned(hookup, valve, *(c for c, _ in places if c.tag)),
            label=f"the low point is {spot.label}",
            notes=(Note(f"`{valve.label}` cuts it off from the drain at the coil", valve.origin[0]),),
            mend=spot.add(f"drain {limit('drain size')}"),
        )


def _cut_off(sections: Sections) -> Iterator[tuple[Section, list[Place]]]:
    """The lowest pools without a drain that are there only with the control valves shut."""
    known = _places(sections, "low")
    unknown = {coil.id for coil in sections.levels_unknown}
    for section in _shut(sections).all:
        if not is_judged(section) or any(c.id in unknown for c in section.coils):
            continue
        for pools in wanting(section, "low"):
            if known.isdisjoint(at for pool in pools for at in section.pools[pool]):
                yield section, pools


def _places(sections: Sections, which: Literal["low", "high"]) -> set[tuple[Component, str]]:
    """Where drains (low) or vents (high) are missing even with the control valves open."""
    judged = [section for section in sections.all if is_judged(section)]
    return {at for s in judged for pools in wanting(s, which) for pool in pools for at in s.pools[pool]}


def _shut(sections: Sections) -> Sections:
    """The same sections with control valves shut; worked out once for one hookup."""
    return sections.once(_with_controls_shut)


def _with_controls_shut(hookup: Hookup, sections: Sections) -> Sections:
    return Sections(hookup, controls_shut=True, beside=sections)


def _is_plain(component: Component) -> bool:
    """Whether a thing holds no water worth a drain: the valves at the ends of a piece, and flanges and nipples."""
    if component.pipe is not None:
        return not component.id.endswith("> run")
    return component.kind.can_any(_PARTS) or component.kind.group in ("fittings", "flanges", "ends", "instruments")


@rule(
    "drain-too-small",
    severity="should",
    asks="a drain is NPS 3/4 or larger",
    why="A smaller one plugs with the dirt that gathers at a low point, and a garden hose does not go on it.",
    mend="write `drain 3/4`",
    sources=_MAKE_UP,
    agreement="2 sources read for 3/4, 1 wants more",
)
def drain_too_small(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A valve of a drain below the least size. A plugged tapping of the coil is the maker's and does not count."""
    least = limit("drain size")
    for component in sections.having("isolates"):
        if component.role == "drain" and component.size.inches < least:
            yield fault(
                f"the drain at `{_beside(hookup, sections, component)}` is {component.size}",
                component.origin[0],
                about=concerned(hookup, component),
                label=f"smaller than {least}",
                mend=write(component.origin[0], f"drain {least}"),
            )


@rule(
    "drain-without-hose-end",
    severity="should",
    asks="a drain ends in a hose thread with its cap, or in a capped nipple",
    why="Without a thread for a hose the water runs on the floor; without a cap a valve that leaks or is knocked open "
    "empties the coil.",
    mend="end it with `hose end, with cap and chain`",
    sources=_MAKE_UP[:2],
    agreement="3 sources read for, 0 against",
)
def drain_without_hose_end(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """The end of a drain that is a plug, or a hose end that nothing says has a cap."""
    for component in hookup.components():
        if component.role != "drain" or component.kind.ports != "end" or not component.line:
            continue
        if component.kind.can("drains") and not component.kind.can("closes"):
            if "with cap and chain" not in component.remarks:
                yield fault(
                    "nothing says that this hose end has a cap",
                    component.origin[0],
                    about=concerned(hookup, component),
                    mend=_hose_end(component),
                )
        elif component.kind.can("drains") and not _takes_hose(sections, component):
            yield fault(
                f"this drain ends in a {component.kind.name}, which no hose goes on",
                component.origin[0],
                about=concerned(hookup, component),
                mend=_hose_end(component),
            )


def _hose_end(end: Component) -> Mend:
    """The hose end with its cap in place of the line that asks for this end, unless it is one of the library."""
    asked = end.origin[-1]
    return write(asked, "hose end, with cap and chain") if asked.file == end.origin[0].file else ()


def _takes_hose(sections: Sections, plug: Component) -> bool:
    """Whether another end behind the same drain valve takes a hose, or is a cap."""
    behind = sections.of(sections.place(plug.id, "in"))
    ends = [c for c in behind.components if c.kind.ports == "end" and c is not plug] if behind.is_stub else []
    return any(not c.kind.can("closes") or not c.kind.can("drains") for c in ends)


@rule(
    "drain-without-air",
    severity="should",
    liquid=True,
    title="Air to drain",
    asks="above every drain, in the same piece, there is a vent that lets air in",
    why="Water does not leave a closed pipe that no air gets into: the drain runs for a moment and stops.",
    mend="put a `vent 1/2` at the high point of this piece",
    sources=("an air handler maker's instructions (draining)",),
    agreement="1 source read, and common practice",
)
def drain_without_air(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A drain with pipe above it that a shut control valve or a check parts from every vent.

    A level piece lets air in past the water and is not asked; where the vent at a high point is missing altogether,
    rule `vent-missing` says so.
    """
    known = _places(sections, "high")
    for section in _shut(sections).all:
        if not is_judged(section):
            continue
        up: nx.DiGraph[Place] = nx.DiGraph((low, high) for high, low in section.down)
        vents = {o.pool for o in section.openings if o.vents}
        for opening in [o for o in section.openings if o.drains and o.pool in up]:
            above = {opening.pool, *nx.descendants(up, opening.pool)}
            if len(above) == 1:
                continue
            if not vents.intersection(above):
                if known.isdisjoint(at for pool in above for at in section.pools[pool]):
                    yield _airless(hookup, sections, section, opening, above)
            else:
                yield from (
                    yes(c.tag) for c in section.coils if any(c is k for p in above for k, _ in section.pools[p])
                )


def _airless(hookup: Hookup, sections: Sections, section: Section, opening: Opening, above: set[Place]) -> Finding:
    tops = [pool for pool in above if not any(low == pool and high in above for high, low in section.down)]
    spot = find_spot([at for pool in sorted(tops) for at in section.pools[pool]], "high", hookup)
    valve = opening.through
    return fault(
        f"the drain at `{_beside(hookup, sections, valve)}` does not empty its piece: no vent above it",
        valve.origin[0],
        about=concerned(hookup, valve),
        notes=(Note(f"its high point is {spot.words}", spot.span),),
        mend=spot.add("vent 1/2"),
    )


def _beside(hookup: Hookup, sections: Sections, valve: Component) -> str:
    """What a drain valve is called: its tag, else the nearest tag on its line, else its line of the file."""
    if valve.tag:
        return valve.tag
    outlet = hanging(hookup, sections, valve)[-1:]
    near = [hookup.component(other) for part in outlet for _, other, _, _ in sections.neighbours[part.id]]
    return next((c.tag for c in near if c.tag and c.line == valve.line), f"line {valve.origin[0].line}")
