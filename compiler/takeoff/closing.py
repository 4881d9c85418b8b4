"""The closing table: every straight between two marks as a sum that anyone can add up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from ..model.hookup import Component, Hookup
from ..model.measured import Part, Straight
from ..model.quantity import format_feet_inches
from ..model.table import NOT_SAID, Column, Row, Table, Unknown, Value
from ..passes.straights import is_outlet
from .cut_pieces import pieces_of
from .job import Job
from .naming import in_blocks
from .waiting import waiting_notes, waits_for

_COLUMNS = (
    Column("units", "Units"),
    Column("line", "Line"),
    Column("straight", "No.", align="right"),
    Column("from", "From"),
    Column("to", "To"),
    Column("direction", "Direction"),
    Column("centres", "Centre to centre", "ft-in", "right"),
    Column("take_outs", "Take-outs", "ft-in", "right"),
    Column("pieces", "Pieces", "ft-in", "right"),
    Column("gaps", "Gaps and make-up", "ft-in", "right"),
    Column("cut", "Pipe", "ft-in", "right", formula="centres - take_outs - pieces - gaps"),
    Column("piece", "In piece"),
    Column("how", "Known"),
)
_NOTES = (
    "Centre to centre = take-outs + pieces + gaps and make-up + pipe. Gaps count from end to end: a weld gap or gasket "
    "adds, thread make-up, a solder cup or the depth in a slip-on flange takes off.",
    "Pipe is not cut at an outlet that is welded onto it: straights of one piece of the cut list are sawn as one.",
    "Outlets with no length between them: where on their pipe they stand is not said, and is free.",
    "Lengths that are no sixty-fourth of an inch are printed to the nearest sixteenth; the sums are kept exact.",
)
#: The finest division of an inch that is printed exactly.
_FINEST = 64
_SORTS = {"take_outs": "take-out", "pieces": "piece", "gaps": "gap", "cut": "cut"}


def closing(job: Job) -> Table:
    """Every straight of the measured hookups, line by line in flow order."""

    def rows_of(hookup: Hookup) -> list[Row]:
        if hookup.measured is None:
            return []
        number: dict[str, int] = {}
        made = []
        pieces = {c.id: f"P{n}" for n, piece in enumerate(pieces_of(job, hookup), 1) for c in piece.components}
        for straight in hookup.measured.straights:
            if _is_unknown_tap(hookup, straight):
                continue
            number[straight.line] = number.get(straight.line, 0) + 1
            made.append(_row(hookup, straight, number[straight.line], pieces.get(straight.run)))
        return made

    rows = in_blocks(job.hookups, rows_of)
    notes = list(_NOTES)
    missing = [h.name for h in job.hookups if h.measured is None]
    if missing:
        notes.append(f"Not measured: {', '.join(dict.fromkeys(missing))}.")
    taps = sum(_is_unknown_tap(h, s) for h in job.hookups if h.measured is not None for s in h.measured.straights)
    if taps:
        notes.append(f"Left out: {taps} straights of drains, vents and other taps whose valves are not in the tables.")
    notes += waiting_notes(job.hookups)
    return Table("closing", "Closing table", _COLUMNS, rows, tuple(notes))


def _is_unknown_tap(hookup: Hookup, straight: Straight) -> bool:
    """A straight without pipe of its own, of a drain, vent or other assembly, that has no length in the tables."""
    return straight.how == "not known" and not straight.run and bool(hookup.component(straight.b[0]).role)


def _is_free(hookup: Hookup, straight: Straight) -> bool:
    """Whether it runs from outlet to outlet on one pipe, and no move of the file lies between them."""
    both = hookup.component(straight.a[0]), hookup.component(straight.b[0])
    return straight.how == "close coupled" and straight.centres == 0 and all(map(is_outlet, both))


def _row(hookup: Hookup, straight: Straight, number: int, piece: str | None) -> Row:
    cells: dict[str, Value] = {
        "line": straight.line,
        "straight": number,
        "from": _mark(hookup.component(straight.a[0])),
        "to": _mark(hookup.component(straight.b[0])),
        "direction": f"{straight.heading}, taken" if straight.taken else straight.heading,
        "centres": straight.centres,
        "piece": piece,
        "how": straight.how,
        **{key: _sum([p for p in straight.parts if p.sort == sort]) for key, sort in _SORTS.items()},
    }
    if _is_free(hookup, straight):
        cells |= dict.fromkeys(_SORTS) | {"centres": NOT_SAID, "how": "free on the pipe"}
    sources = dict.fromkeys(part.source for part in straight.parts if part.source)
    return Row(cells, straight.origin, "; ".join([_terms(straight.parts), *sources, *waits_for(hookup, [straight])]))


def _mark(component: Component) -> str:
    """What a length is measured to; of an assembly, which part of it."""
    return f"{component.kind.name}, {component.called}" if component.role else component.called


def _sum(parts: Sequence[Part]) -> Fraction | Unknown | None:
    if not parts:
        return None
    total = Fraction(0)
    for part in parts:
        if not isinstance(part.length, Fraction):
            return part.length
        total += part.length
    return total


def _terms(parts: Iterable[Part]) -> str:
    """`elbow 3 4-1/2 in + butt weld 1/8 in + …`, in order along the straight; what adds nothing is left out."""
    made = ""
    for part in parts:
        if not isinstance(part.length, Fraction):
            made += f" + {part.what} {part.length}"
        elif part.length:
            sign = "+" if part.length > 0 else "-"
            made += f" {sign} {part.what} {format_feet_inches(abs(part.length), _FINEST)}"
    return made.removeprefix(" + ")
