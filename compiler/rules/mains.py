"""What every main carries is known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..analysis.lineups import normal, path_between, shut_in, worked_out
from ..analysis.saying import ticked, way
from ..analysis.sections import Sections
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, write
from .registry import Verdict, fault, rule


@rule(
    "main-service-unsaid",
    severity="should",
    asks="every main is the supply or return of a coil, which tells what it carries, or the file says it",
    why="Of a main that nobody knows it cannot be said whether it mixes with the rest, or how many valves have to keep "
    "it apart.",
    mend="say it where a line joins the main: `main CW on city-water`",
    sources=("common practice, no source",),
    agreement="not counted",
)
def main_service_unsaid(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A main that only lines without a coil join, and that nothing is said of."""
    unknown = [c for c in sections.coils_and_mains if c.kind.ports == "main" and not c.service]
    if not unknown:
        return
    known = {c.id: c for c in sections.coils_and_mains if c.service}
    net = worked_out(hookup, sections).network
    shut = shut_in(net, normal(hookup))
    for main in unknown:
        path = path_between(net, [main.id], known.keys(), shut)
        between = [net.components[id] for id in path if id in shut]
        stands = f"{ticked(between)}, shut, between it and" if between else "it stands open to"
        notes = (Note(f"{stands} `{known[path[-1]].service}`: {way(hookup, path)}"),) if path else ()
        yield fault(
            f"cannot tell what `{main.tag}` carries",
            main.origin[0],
            about=(main.tag,),
            notes=notes,
            help=f"write `main {main.tag} on SERVICE`",
            mend=_said(hookup, sections, main),
        )


def carries_unknown(mains: Sequence[Component]) -> str:
    """What a file has to add before anybody can tell what some mains carry."""
    tags = list(dict.fromkeys(main.tag for main in mains))
    return f"what {' and '.join(tags)} carries: write {' and '.join(f'main {tag} on SERVICE' for tag in tags)}"


def _said(hookup: Hookup, sections: Sections, main: Component) -> Mend:
    """The service, where the file declares just one that no coil or main is on."""
    used = {c.service for c in sections.coils_and_mains}
    free = [name for name in hookup.services if name not in used]
    return write(main.origin[0], f"main {main.tag} on {free[0]}", f"main {main.tag}") if len(free) == 1 else ()
