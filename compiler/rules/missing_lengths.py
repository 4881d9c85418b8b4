"""Things whose length no table has and no file says: what waits for it, and the line that would say it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..catalogue.words import END_FORMS
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.measured import Straight
from ..model.table import NOT_IN_TABLES
from .registry import fault, rule
from .sections import Sections


@rule(
    "length-not-in-tables",
    severity="note",
    asks="everything between two lengths of the file has a length of its own",
    why="Pipe is what its fittings leave of the moves: beside one of unknown length no cut is known, and nothing "
    "behind it has a place.",
    mend="take the length from its maker's sheet and write it under `lengths of`",
    sources=("geometry: the lengths of a closed figure add up",),
    agreement="follows from the tables and the file",
    needs="lengths of moves",
)
def length_not_in_tables(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """Once for each kind of thing that a cut or a place waits for."""
    by_kind: dict[str, dict[str, Component]] = {}
    for straight in _waiting(hookup):
        for component, line in missing_on(hookup, straight):
            by_kind.setdefault(component.kind.name, {}).setdefault(line, component)
    for kind, found in by_kind.items():
        first = next(iter(found.values()))
        yield fault(
            f"the length of `{kind}` is not in the tables: the cuts beside it wait for it",
            first.origin[0],
            about=tuple(c.tag for c in found.values() if c.tag),
            notes=tuple(Note(f"to be said: {line}") for line in found),
        )


def _waiting(hookup: Hookup) -> Iterator[Straight]:
    """The straights that the file gives a length; all of them where it says places too, since each counts then."""
    measured = hookup.measured
    if measured is not None:
        placed = 0 in measured.islands.values()
        yield from (s for s in measured.straights if placed or s.how in ("as given", "allowed", "from its ends"))


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
