"""Things whose length no table has and no file says: what waits for it, and the line that would say it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.sections import Sections
from ..analysis.unsaid_lengths import missing_on
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.measured import Straight
from .registry import fault, rule


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
