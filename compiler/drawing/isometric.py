"""Isometrics of a hookup as SVG: one for each measured line, one for each spool.

After ISO 6412-1 and ISO 6412-2 (pipelines, isometric projection), from memory; what is our own is said where it is
drawn. Nothing is to scale. What a figure says is what the lists say: lengths are those of the closing table, numbers
those of the weld list, the cut list and the sheets of spools.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ..model.hookup import Component, Hookup, with_number
from ..model.span import Span
from ..model.table import Row
from ..takeoff.cut_pieces import pieces_of
from ..takeoff.hangers import hangers
from ..takeoff.job import Job
from ..takeoff.penetrations import penetrations
from ..takeoff.spool_lists import spool_sheets
from .iso_bill import Items, line_items, spool_items
from .iso_cut import is_too_large, letter, sheets
from .iso_legs import LEAST, Leg, Legs
from .iso_sheet import Isometric, Sheet
from .iso_subject import Subject
from .wording import INCH_POUND, Wording


def isometrics(job: Job, hookup: Hookup, wording: Wording = INCH_POUND) -> list[Isometric]:
    """Every line of a hookup that has a length in the file, in flow order, its branches with it; then every spool.

    None of a hookup that is not measured. What cannot be drawn is left out: `left_out` says which and why.
    """
    return isometrics_or_why_not(job, hookup, wording)[0]


def left_out(job: Job, hookup: Hookup) -> list[str]:
    """The lines and spools of a hookup that have no isometric, each with the reason."""
    return _subjects(job, hookup, INCH_POUND)[1]


def isometrics_or_why_not(job: Job, hookup: Hookup, wording: Wording = INCH_POUND) -> tuple[list[Isometric], list[str]]:
    """Both of these at once."""
    subjects, missing = _subjects(job, hookup, wording)
    return [sheet.drawing() for subject in subjects for sheet in _sheets(subject)], missing


def _sheets(subject: Subject) -> list[Sheet]:
    """One sheet, or as many as it takes to print so that it can be read."""
    drawn: dict[int, Sheet] = {}

    def fit(legs: Sequence[Leg]) -> bool:
        if is_too_large(legs):
            return False
        drawn[id(legs)] = Sheet(replace(subject, legs=legs))
        return drawn[id(legs)].fits()

    parts = sheets(subject.legs, fit)
    if len(parts) == 1:
        return [drawn.get(id(subject.legs)) or Sheet(subject)]
    letter(parts)
    made = []
    for number, legs in enumerate(parts, 1):
        one = replace(subject, legs=legs, sheet=(number, len(parts)))
        ids = {component.id for component in _shown(legs)}
        items = subject.items.on_sheet(f"{subject.items.title}{one.sheet_text}", ids)
        known = drawn[id(legs)].figure if len(parts) == 2 and id(legs) in drawn else None
        made.append(Sheet(replace(one, items=items), known))
    return made


def _subjects(job: Job, hookup: Hookup, wording: Wording) -> tuple[list[Subject], list[str]]:
    if hookup.measured is None:
        return [], [f"{hookup.name}: no isometrics, as the file gives no lengths"]
    number = hookup.units[0].number if len(hookup.units) == 1 else "*"
    welds = job.welds(hookup)
    legs = Legs(hookup, welds)
    marks = _marks(job, hookup, wording)
    cuts = list(enumerate(pieces_of(job, hookup), 1))
    made: list[Subject] = []
    missing: list[str] = []

    def take(name: str, found: list[Leg], items: Items, lines: Sequence[str], spool: bool) -> None:
        made.append(
            Subject(
                job,
                hookup,
                with_number(name, number),
                number,
                found,
                items,
                cuts,
                welds,
                tuple(lines),
                marks,
                spool,
                wording,
            )
        )

    for line in hookup.lines:
        own = [straight for straight, _ in legs.straights if straight.line == line]
        if not own:
            continue
        if not any(straight.how in ("as given", "from its ends") for straight in own):
            missing.append(f"{with_number(line, number)}: left out, as the file gives no length in it")
            continue
        try:
            found = legs.of_line(line)
        except ValueError as reason:
            missing.append(f"{with_number(line, number)}: left out, as {with_number(str(reason), number)}")
            continue
        take(line, found, line_items(with_number(line, number), line, hookup, _shown(found)), [line], False)
    mark_of = job.spools(hookup).mark_of
    for spool, items in spool_sheets(job, hookup, number):
        lines = list(dict.fromkeys(c.line for c in spool.components if c.line))

        def named(component: Component) -> str:
            mark = mark_of.get(component.id)
            return f"spool {mark}" if mark else component.label

        try:
            found = legs.of_spool({component.id for component in spool.components}, named)
        except ValueError as reason:
            missing.append(f"{with_number(spool.mark, number)}: left out, as {with_number(str(reason), number)}")
            continue
        if found:
            take(spool.mark, found, spool_items(with_number(spool.mark, number), items), lines, True)
    return made, missing


def _marks(job: Job, hookup: Hookup, wording: Wording) -> dict[Span, tuple[str, ...]]:
    """What is said of hangers and holes in their lists, by their place in the file: name, of a hanger its place."""
    on_pipe = [move for c in hookup.components() if c.pipe is not None for move in c.pipe.moves]
    alone = replace(job, hookups=[hookup])  # what the job has worked out is shared
    made: dict[Span, tuple[str, ...]] = {}
    if any(move.mark for move in on_pipe):
        made |= {row.origin[0]: _hanger(row, wording) for row in hangers(alone).rows if "at" in row.cells}
    if any(move.through for move in on_pipe):
        made |= {row.origin[0]: (str(row.cells["hole"]),) for row in penetrations(alone).rows if "at" in row.cells}
    return made


def _hanger(row: Row, wording: Wording) -> tuple[str, ...]:
    """`H1`, `8 in from BV-101`."""
    name, start, along = str(row.cells["hanger"]), row.cells["from"], row.cells["at"]
    if not start or not isinstance(along, Fraction):
        return (name,)
    return (name, f"{wording.length(along)} from {start}" if along >= LEAST else f"at {start}")


def _shown(legs: Sequence[Leg]) -> list[Component]:
    """The components of a drawing in flow order, each once."""
    found = {bit.component.id: bit.component for leg in legs for bit in leg.bits if bit.component is not None}
    return list(found.values())
