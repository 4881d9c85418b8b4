"""What the lists are made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from ..model.declared import TakeoffSettings
from ..model.hookup import Hookup
from ..model.size import Size
from ..rules.sections import Sections
from .flanged import FlangedJoint, flanged_joints


@dataclass(frozen=True, slots=True)
class Job:
    """The hookups of one or more files, with the takeoff settings and the valve lengths that the files declare."""

    hookups: Sequence[Hookup]
    settings: TakeoffSettings
    lengths: dict[tuple[str, str, Size], Fraction]
    _flanged: dict[int, list[FlangedJoint]] = field(default_factory=dict)
    _sections: dict[int, Sections] = field(default_factory=dict)

    def flanged(self, hookup: Hookup) -> list[FlangedJoint]:
        """The flanged joints of one of the hookups, worked out once for all lists."""
        if id(hookup) not in self._flanged:
            self._flanged[id(hookup)] = flanged_joints(hookup, self.lengths)
        return self._flanged[id(hookup)]

    def sections(self, hookup: Hookup) -> Sections:
        """The sections of one of the hookups, found once for all lists."""
        if id(hookup) not in self._sections:
            self._sections[id(hookup)] = Sections(hookup)
        return self._sections[id(hookup)]
