"""Tags on the valves that somebody is sent to."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.sections import Sections
from ..catalogue.limits import limit
from ..model.finding import Finding
from ..model.hookup import Component, Hookup
from .registry import Verdict, concerned, fault, rule, yes

_TURNED = frozenset(("isolates", "throttles", "controls", "balances"))


@rule(
    "valve-untagged",
    severity="note",
    title="Valves tagged",
    asks="every valve above NPS 3/4 has a tag",
    why="No lineup, lockout or changeover sheet can name a valve without a tag, and whoever has to shut it in a hurry "
    "looks for it.",
    mend="write a tag behind the valve's name",
    sources=(
        "University of Iowa Hospitals design standard (all but 3/4 in valves beside the equipment)",
        "UFGS 15501, 15502 (tags with number, function, system, and the valves that move with it)",
        "VA HVAC Design Manual (one control diagram that shows the valves)",
    ),
    agreement="4 sources read on tags, 0 against",
)
def valve_untagged(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A valve of a line, not of a drain or vent, that has no tag and is larger than the limit."""
    untagged: set[str] = set()
    served: dict[str, None] = {}
    for valve in hookup.components():
        if not _wants_tag(valve):
            continue
        about = concerned(hookup, valve)
        served |= dict.fromkeys(coil for coil in about if coil in hookup.coils)
        if not valve.tag:
            untagged.update(about)
            message = f"this {valve.kind.name}, size {valve.size}, has no tag"
            yield fault(message, valve.origin[0], about=about)
    yield from (yes(coil) for coil in served if coil not in untagged)


def _wants_tag(component: Component) -> bool:
    turned = component.kind.can_any(_TURNED) and component.line and not component.role
    return bool(turned) and component.size.inches > limit("untagged to")
