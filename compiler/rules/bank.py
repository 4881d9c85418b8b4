"""Coils of a bank, and ends in the piping between the shutoffs."""

from __future__ import annotations

from collections.abc import Iterable

from ..model.finding import Finding, Note
from ..model.hookup import Hookup
from .registry import Verdict, concerned, fault, rule, yes
from .sections import Sections
from .water import hanging, legs, shared


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
        )


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
            yield fault(
                f"nothing shuts this {component.kind.name} off from the line",
                component.origin[0],
                about=concerned(hookup, component),
            )
