"""Which things on a straight have no length, and the line of a file that would say it."""

from __future__ import annotations

from ..catalogue.words import END_FORMS
from ..model.hookup import Component, Hookup
from ..model.measured import Straight
from ..model.table import NOT_IN_TABLES


def missing_on(hookup: Hookup, straight: Straight) -> list[tuple[Component, str]]:
    """What on a straight has no length, each with the lines that would say it; nothing of drains, vents and other
    taps, which no cut waits for."""
    if hookup.component(straight.b[0]).role and not straight.run:
        return []
    ends = {straight.a[0]: straight.port_a, straight.b[0]: straight.port_b}
    wanted = [part.id for part in straight.parts if part.id and part.sort != "cut" and part.length == NOT_IN_TABLES]
    return [(hookup.component(id), said_by(hookup.component(id), ends.get(id, ""))) for id in dict.fromkeys(wanted)]


def said_by(component: Component, port: str = "") -> str:
    """The lines of a file that would say a length: `lengths of pump, flanged` with `2, … in` under it."""
    kind = component.kind
    form = component.ends["in"].form if "in" in component.ends else ""
    ends = next((word for word, made in END_FORMS.items() if made == form), "") if kind.choices else ""
    name = kind.name.partition(",")[0] + (f", {ends}" if ends else "")
    reduces = kind.group == "fittings" and component.branch_size is not component.size
    second = component.branch_size if reduces else None
    size = component.size.label if second is None else f"{component.size} x {second}"
    what = ""
    if port == "bypass":
        what = " (face to face, and from its middle to its side port)"
    elif kind.ports == "tee" and second is not None:
        what = " (from its middle to its run, and to its branch)"
    return f"`lengths of {name}`, under it `{size}, … in{', … in' if what else ''}`{what}"
