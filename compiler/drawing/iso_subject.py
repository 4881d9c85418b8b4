"""What one isometric is of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..model.hookup import Hookup, with_number
from ..model.span import Span
from ..takeoff.cut_pieces import CutPiece
from ..takeoff.job import Job
from ..takeoff.welding import Weld
from .iso_bill import Items
from .iso_legs import Leg
from .wording import Wording


@dataclass(frozen=True, slots=True)
class Subject:
    """A line or a spool to be drawn. `number` takes the place of `*` in tags; `cuts` and `welds` are those of the whole
    hookup with their numbers; `lines` those that it belongs to, one of which it is if it is no spool; `marks` names
    hangers and holes by their place in the file, as their lists do."""

    job: Job
    hookup: Hookup
    name: str
    number: str
    legs: Sequence[Leg]
    items: Items
    cuts: Sequence[tuple[int, CutPiece]]
    welds: Sequence[Weld]
    lines: tuple[str, ...]
    marks: Mapping[Span, tuple[str, ...]]
    is_spool: bool
    wording: Wording
    sheet: tuple[int, int] = (1, 1)  # its number, and how many there are

    @property
    def sheet_text(self) -> str:
        """`, sheet 1 of 2`; nothing where there is one."""
        return "" if self.sheet[1] == 1 else f", sheet {self.sheet[0]} of {self.sheet[1]}"

    def said(self, text: str) -> str:
        """A text with the unit's number in its tags."""
        return with_number(text, self.number)
