"""Coils of a bank, and ends in the piping between the shutoffs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ..analysis.legs import LEGS, Leg, LegName
from ..analysis.places import above, is_nested, line_name, shutoff_for, toward_main
from ..analysis.sections import Sections
from ..analysis.water import hanging, legs, shared
from ..model.finding import Finding, Note
from ..model.hookup import Hookup
from ..model.mend import Mend, write
from .registry import Verdict, concerned, fault, rule, yes


@rule(
    "coils-share-shutoffs",
    severity="should",
    title="Shutoffs of its own",
    asks="each coil of a bank has shutoffs of its own",
    why="Coils that share their shutoffs go down together: one leaking tube takes the whole bank out.",
    mend="put a shutoff on the supply and the return of each coil, between the tees and the coil",
    sources=("University of North Carolina piping guideline",),
    agreement="1 source read for; one maker's drawings show stacked coils with fewer",
)
def coils_share_shutoffs(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Coils in one piece that the shutoffs cut off from every main, and a coil with a shared way inside its shutoff."""
    counts = shared(hookup, sections)
    for section in sections.all:
        coils = section.coils
        if section.mains or not coils:
            continue
        if len(coils) == 1:
            coil = coils[0]
            both = legs(hookup, sections).get(coil.tag, {})
            bare = [name for name, leg in both.items() if any(counts[c.id] > 1 for c in leg.inside())]
            if bare:
                yield fault(
                    f"coil `{coil.tag}` has no shutoff of its own on the {' and the '.join(bare)}",
                    hookup.coils[coil.tag].span,
                    about=concerned(hookup, coil),
                    notes=(Note("the valves that shut it off there take another coil down too"),),
                    mend=_shutoffs(hookup, both, bare),
                )
            elif any(counts[c.id] > 1 for leg in both.values() for c in leg.way):
                yield yes(coil.tag)
            continue
        valves = dict.fromkeys(v.label for v, _ in section.valves if not v.role)
        tags = [f"`{c.tag}`" for c in coils]
        yield fault(
            f"coils {', '.join(tags[:-1])} and {tags[-1]} can only be shut off together",
            hookup.coils[coils[0].tag].span,
            about=concerned(hookup, *coils),
            notes=(
                *(Note(f"coil `{c.tag}` is here", hookup.coils[c.tag].span) for c in coils[1:4]),
                Note("the shutoffs around them: " + (", ".join(f"`{v}`" for v in valves) or "none")),
            ),
            mend=_each_its_own(hookup, [legs(hookup, sections).get(c.tag, {}) for c in coils]),
        )


def _each_its_own(hookup: Hookup, coils: list[Mapping[LegName, Leg]]) -> Mend:
    """Shutoffs for every coil, and a drain and a vent for the shared pieces that they cut off, at the first coil."""
    made: Mend = ()
    for n, both in enumerate(coils):
        made += _shutoffs(hookup, both, LEGS, ("drain 3/4", "vent 1/2") if n == 0 else ())
    return made


def _shutoffs(
    hookup: Hookup, both: Mapping[LegName, Leg], names: Iterable[LegName], shared_trim: tuple[str, ...] = ()
) -> Mend:
    """A shutoff on a coil's own part of some of its legs, with lines for the main's side of it."""
    made: Mend = ()
    for leg in (both[name] for name in names if name in both):
        line = hookup.lines.get(line_name(leg.coil, leg.name))
        if line is not None:
            valve = shutoff_for(line.size)
            lines = (*shared_trim, valve) if leg.name == "supply" else (valve, *shared_trim)
            made += toward_main(hookup, leg.coil, leg.name, leg.way, *lines)
    return made


@rule(
    "branch-ends-bare",
    severity="must",
    asks="every branch between the shutoffs ends in a valve with its end, a plug, a cap or a self-sealing port",
    why="A hose end with no valve before it is open: its cap is made to keep dirt out and holds no pressure.",
    mend="put a `ball valve, normally closed` before it, or write `drain 3/4` instead",
    sources=("State of Delaware project manual 23 21 13, part 3 (valve and capped nipple)", "UFGS 15501, 15502, 15569"),
    agreement="5 sources read for, 0 against",
)
def branch_ends_bare(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """An end that lets water out and closes nothing, with no valve on the way back to the line."""
    for component in hookup.components():
        open_end = component.kind.ports == "end" and component.kind.can("drains") and not component.kind.can("closes")
        if not open_end or sections.of(sections.place(component.id, "in")).is_stub:
            continue
        if not any(c.kind.can("isolates") for c in hanging(hookup, sections, component)):
            outlet = hanging(hookup, sections, component)[-1:]
            nested = bool(outlet) and is_nested(outlet[0], component)
            yield fault(
                f"nothing shuts this {component.kind.name} off from the line",
                component.origin[0],
                about=concerned(hookup, component),
                mend=above(component, "ball valve, normally closed")
                if nested
                else write(component.origin[0], "drain 3/4"),
            )
