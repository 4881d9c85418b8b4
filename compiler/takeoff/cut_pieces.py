"""Pieces of pipe and tube to be cut, of all units, as they are sawn."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ..model.hookup import Component, Hookup, with_number
from ..model.size import Size
from ..model.span import Origin
from ..model.table import NO_ROOM, Unknown
from .bill import pipe_under
from .job import Job
from .pieces_of_pipe import PipePiece, pipe_pieces

#: Cut lengths are marked on the pipe to this part of an inch.
_TAPE = 16


@dataclass(frozen=True, slots=True)
class CutPiece:
    """One piece of each unit of a hookup; `number` is that of the cut list. `mark`: the spool that it goes into, or its
    line where it is in none.

    `length` is end to end, to the nearest 1/16 in, with what a field-fit piece is left `over`; `allowed`: it rests on
    an `about` length. `centres`: where the length is not known, what the file gives of it centre to centre, else 0.
    """

    hookup: Hookup
    number: int
    mark: str
    sort: Literal["pipe", "tube"]
    size: Size
    material: str  # as the bill buys it: `carbon steel schedule 40`
    length: Fraction | Unknown
    centres: Fraction
    over: Fraction
    allowed: bool
    count: int
    origin: Origin
    components: tuple[Component, ...]

    @property
    def called(self) -> str:
        """Its mark and its number, with the unit's number where only one unit has it: `GA-3-S-TRIM-03: P5`."""
        units = self.hookup.units
        mark = with_number(self.mark, units[0].number) if len(units) == 1 else self.mark
        return f"{mark}: P{self.number}"


def cut_pieces(job: Job) -> list[CutPiece]:
    """Every piece of every hookup, in flow order; `count` is how many units have it."""
    return [piece for hookup in job.hookups for piece in pieces_of(job, hookup)]


def pieces_of(job: Job, hookup: Hookup) -> list[CutPiece]:
    """Every piece of one hookup, in flow order."""
    order: dict[str, int] = {}
    for u, v, joint in hookup.joints():
        for id in (u, v):
            order[id] = min(joint.order, order.get(id, joint.order))
    found = sorted(pipe_pieces(hookup), key=lambda piece: min(order.get(c.id, 0) for c in piece.components))
    return [_piece(job, hookup, number, piece) for number, piece in enumerate(found, 1)]


def _piece(job: Job, hookup: Hookup, number: int, piece: PipePiece) -> CutPiece:
    first = next((c for c in piece.components if c.pipe is not None), piece.components[0])
    mark = job.spools(hookup).mark_of.get(first.id) or first.line
    over = job.settings.field_fit if piece.field_fit else Fraction(0)
    tube = any(end.form == "tube" for end in first.ends.values())
    return CutPiece(
        hookup,
        number,
        mark,
        "tube" if tube else "pipe",
        first.size,
        first.made_of if first.pipe is not None else pipe_under(hookup, first),
        _marked(piece.cut, over),
        piece.measured + piece.allowed if isinstance(piece.cut, Unknown) else Fraction(0),
        over,
        bool(piece.allowed),
        len(hookup.units),
        tuple(dict.fromkeys(span for c in piece.components for span in c.origin)),
        tuple(piece.components),
    )


def _marked(cut: Fraction | Unknown, over: Fraction) -> Fraction | Unknown:
    """A length as it is marked on the pipe; where the fittings leave nothing, there is no room for it."""
    if isinstance(cut, Unknown):
        return cut
    length = Fraction(round(cut * _TAPE), _TAPE)
    return length + over if length > 0 else NO_ROOM
