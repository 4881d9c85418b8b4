"""Drains at the low points and vents at the high points."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from ..analysis.openings import is_judged, self_venting, wanting
from ..analysis.saying import called
from ..analysis.section import Place, Section
from ..analysis.sections import Sections
from ..analysis.spots import find_spot
from ..model.finding import Finding, Note
from ..model.hookup import Hookup
from ..model.mend import Mend, write
from .registry import Verdict, cannot_tell, fault, no, rule, yes

_DRAIN_SOURCES = (
    "UT Austin design standard, HVAC piping and pumps (drains at equipment, foot of risers, any low point)",
    "State of Delaware project manual 23 21 13, part 3",
    "UFGS 15569 (capped drain on each heating coil and wherever needed)",
)
_VENT_SOURCES = (
    "UT Austin design standard, HVAC piping and pumps (vents at high points)",
    "UFC 3-440-01 appendix E",
    "UFGS 15569",
    "University of Iowa Hospitals design standard (manual vents at all high points)",
)


@rule(
    "drain-missing",
    severity="must",
    liquid=True,
    title="Drains",
    asks="every low point between the shutoffs has a drain",
    why="Water that cannot run to a drain stays in the coil and the pipe: it freezes there, or runs over whoever opens "
    "the joint.",
    mend="put a `drain 3/4` at the low point",
    sources=_DRAIN_SOURCES,
    agreement="8 sources read for, 0 against",
)
def drain_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A lowest pool of a section without a drain in it."""
    return _missing(hookup, sections, "low")


@rule(
    "vent-missing",
    severity="must",
    liquid=True,
    title="Vents",
    asks="every high point between the shutoffs has a vent",
    why="Air gathers at a high point with no vent: it stops the flow through the tubes below it, and the piece does "
    "not drain, since no air can get in.",
    mend="put a `vent 1/2` at the high point",
    sources=_VENT_SOURCES,
    agreement="12 sources read for, 0 against",
)
def vent_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A highest pool of a section without a vent in it."""
    return _missing(hookup, sections, "high")


@rule(
    "shut-in-piece-without-vent",
    severity="should",
    liquid=True,
    asks="a piece between two valves that are normally closed has a vent beside its drain",
    why="Nothing flows there, so air does no harm; but with no vent open the bleed runs dry slowly, and a leak past "
    "the first valve is told late.",
    mend="put a `vent 1/2` at the high point",
    sources=("common practice, no source",),
    agreement="not counted",
)
def shut_in_piece_without_vent(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A highest pool without a vent in a piece that normally closed valves shut in."""
    return _missing(hookup, sections, "high", shut_in=True)


@rule(
    "coil-level-unsaid",
    severity="should",
    asks="every coil says which of its connections is low and which is high",
    why="Without it nobody can tell where the coil's low and high points are, so its drains and vents are not checked.",
    mend="write `supply low` and `return high` in the coil's block",
    sources=("common practice, no source",),
    agreement="not counted",
)
def coil_level_unsaid(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A coil whose two levels are not both given."""
    for coil in sections.levels_unknown:
        yield Finding(
            "",
            "should",
            f"which connection of coil `{coil.label}` is low and which is high is not said",
            coil.origin[0],
            mend=_levels(hookup, coil.id),
        )


def _levels(hookup: Hookup, coil: str) -> Mend:
    """The levels that water (or steam) asks for, behind the names of the connections that do not say theirs."""
    facts = hookup.coils[coil]
    service = hookup.services.get(facts.service)
    levels = {"supply": "low", "return": "high"}
    said = {port.name: port.level for port in facts.ports.values() if port.level}
    steam = service is not None and service.fluid == "steam"
    if any(levels[name] != level for name, level in said.items()) or (steam and not said):
        levels = {"supply": "high", "return": "low"}
    silent = [port for port in facts.ports.values() if not port.level]
    return tuple(e for port in silent for e in write(port.span, f"{port.name} {levels[port.name]}", port.name))


def _missing(
    hookup: Hookup, sections: Sections, which: Literal["low", "high"], *, shut_in: bool = False
) -> Iterator[Finding | Verdict]:
    """`shut_in`: of the pieces that normally closed valves shut in, whose high points are a rule of their own."""
    line = "drain 3/4" if which == "low" else "vent 1/2"
    unknown = {c.id for c in sections.levels_unknown}
    for section in sections.all:
        if which == "high" and section.is_shut_in != shut_in:
            continue
        yield from _verdicts(hookup, section, which, unknown)
        if not is_judged(section) or any(c.id in unknown for c in section.coils):
            continue
        for pools in wanting(section, which):
            if which == "high" and self_venting(hookup, section, pools):
                continue  # rule `vent-left-to-the-flow` notes it
            spot = find_spot([at for pool in pools for at in section.pools[pool]], which, hookup)
            if which == "low":
                message = f"{section.name()} does not drain: no drain at its low point, {spot.words}"
            else:
                message = f"air stays in {section.name()}: no vent at its high point, {spot.words}"
            yield fault(
                message,
                spot.span,
                about=(*(c.tag for c in section.coils), *(v.tag for v, _ in section.valves if not v.role)),
                label=f"the {which} point is {spot.label}",
                notes=(*_around(section), *_held(section, pools)),
                mend=spot.add(line),
            )


def _verdicts(hookup: Hookup, section: Section, which: Literal["low", "high"], unknown: set[str]) -> Iterator[Verdict]:
    """What the sheet says of the coils in a section."""
    missing = wanting(section, which)
    if which == "high":
        missing = [pools for pools in missing if not self_venting(hookup, section, pools)]
    through = [called(o.through) for o in section.openings if (o.drains if which == "low" else o.vents)]
    for coil in section.coils:
        if section.mains:
            yield no(coil.tag, f"open to main {section.mains[0].tag}")
        elif coil.id in unknown:
            yield cannot_tell(coil.tag, "say which connection is low")
        elif missing:
            yield no(coil.tag, f"{len(missing)} {which} point{'s' if len(missing) > 1 else ''} without")
        else:
            yield yes(coil.tag, ", ".join(dict.fromkeys(through)) or "by its velocity")


def _held(section: Section, pools: list[Place]) -> tuple[Note, ...]:
    """The check valves at a low or high point, without which water or air would get on from there."""
    beside = [component for pool in pools for component, _ in section.pools[pool]]
    checks = dict.fromkeys(c for c in beside if c.kind.can("checks"))
    return tuple(Note(f"nothing gets back through check valve `{c.label}`", c.origin[0]) for c in checks)


def _around(section: Section) -> tuple[Note, ...]:
    """The shut valves that make the section."""
    valves = [v for v, _ in section.valves if not v.role]
    return tuple(Note(f"`{v.label}`, shut, is one end of this piece", v.origin[0]) for v in valves[:4])
