"""Steam: what is not judged here."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.sections import Sections
from ..model.finding import Finding
from ..model.hookup import Hookup
from .registry import fault, is_on_steam, rule


@rule(
    "steam-not-judged",
    severity="note",
    asks="coils are on water or glycol: of steam coils only shutoffs, joints, strainer, levels and reducers are judged",
    why="A steam coil lives by its trap, its drip legs, its vacuum breaker and its fall, and none of them is asked for "
    "here. Drains, vents, relief, balancing and test ports are asked for as water needs them, and so not of steam.",
    mend="have the trap, the drip leg, the vacuum breaker and the fall checked by the coil maker's text for steam",
    sources=(
        "seven coil makers' texts on steam (trap 12 in below the outlet, vacuum breaker, no lift, 1 in fall in 10 ft)",
    ),
    agreement="5 or 6 sources read for the trap and the vacuum breaker, 0 against",
)
def steam_not_judged(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A coil on a service of steam."""
    for tag, facts in hookup.coils.items():
        if is_on_steam(hookup, tag):
            yield fault(
                f"coil `{tag}` is on steam: its trap, drip leg, vacuum breaker and fall are not judged here",
                facts.span,
                about=(tag,),
            )
