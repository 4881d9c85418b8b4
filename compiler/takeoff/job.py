"""What the lists are made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..model.declared import TakeoffSettings
from ..model.hookup import Hookup
from ..model.size import Size


@dataclass(frozen=True, slots=True)
class Job:
    """The hookups of one or more files, with the takeoff settings and the valve lengths that the files declare."""

    hookups: Sequence[Hookup]
    settings: TakeoffSettings
    lengths: dict[tuple[str, str, Size], Fraction]
