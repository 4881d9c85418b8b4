"""Airflow hand: what is of one hand, as drawn and as built."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.hookup import MIRRORED, Hookup, Move
from ..model.span import Origin
from ..model.table import Column, Row, Table
from ..passes.mirror import coil_hand, mirrored_move
from .job import Job
from .tally import units_text

_COLUMNS = (
    Column("units", "Units"),
    Column("what", "What"),
    Column("where", "Where"),
    Column("drawn", "As drawn"),
    Column("built", "As built"),
)


def hands(job: Job) -> Table:
    """For every distinct hookup: the hand of its coils, and of its handed items and moves what changes with it."""
    rows = tuple(row for hookup in job.hookups for row in _rows(hookup))
    notes = (
        "Of handed items and moves only those that are built otherwise than drawn: all others are built as drawn.",
        "Directions are as seen facing the coil's connections. Up, down, toward and away are the same in both hands.",
        "Hand of a coil: standing with the air on your back, the side on which the connections are.",
    )
    return Table("hands", "Airflow hand: as drawn and as built", _COLUMNS, rows, notes)


def _rows(hookup: Hookup) -> Iterator[Row]:
    units = units_text(hookup.units)

    def row(what: str, where: str, drawn: str, built: str, origin: Origin, why: str) -> Row:
        return Row({"units": units, "what": what, "where": where, "drawn": drawn, "built": built}, origin, why)

    why = "the units run the other way than the typical is drawn" if hookup.mirrored else "the units run as drawn"
    for facts in hookup.coils.values():
        drawn, built = (coil_hand(a) or "cannot tell: airflow not said" for a in (hookup.drawn, hookup.airflow))
        yield row(
            "coil",
            facts.tag,
            f"{drawn} hand" if hookup.drawn else drawn,
            f"{built} hand" if hookup.airflow else built,
            (facts.span,),
            why,
        )
    for component in hookup.components():
        if component.kind.ports == "coil" or not (component.hand or component.kind.handed):
            continue
        built = f"{component.hand} hand" if component.hand else ("mirrored" if hookup.mirrored else "as drawn")
        drawn = f"{_other(component.hand, hookup)} hand" if component.hand else "as drawn"
        if drawn != built:
            yield row(component.kind.name, component.label, drawn, built, component.origin[:1], why)
    for line, move in hookup.moves:
        drawn, built = _directions(mirrored_move(move) if hookup.mirrored else move), _directions(move)
        if drawn != built:
            yield row("move", f"{line}, line {move.span.line}", drawn, built, (move.span,), why)


def _other(hand: str, hookup: Hookup) -> str:
    return MIRRORED.get(hand, hand) if hookup.mirrored else hand


def _directions(move: Move) -> str:
    return " and ".join(leg.direction for leg in move.legs)
