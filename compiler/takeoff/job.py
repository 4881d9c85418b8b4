"""What the lists are made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ..analysis.sections import Sections
from ..analysis.weighing import Scales
from ..model.declared import TakeoffSettings
from ..model.hookup import Hookup
from .flanged import FlangedJoint, flanged_joints
from .spools import Spools, spools_of
from .welding import Weld, welds_of


@dataclass(frozen=True, slots=True)
class Job:
    """The hookups of one or more files, with the takeoff settings and the valve lengths that the files declare."""

    hookups: Sequence[Hookup]
    settings: TakeoffSettings
    _flanged: dict[int, list[FlangedJoint]] = field(default_factory=dict)
    _sections: dict[int, Sections] = field(default_factory=dict)
    _scales: dict[int, Scales] = field(default_factory=dict)
    _spools: dict[int, Spools] = field(default_factory=dict)
    _welds: dict[int, list[Weld]] = field(default_factory=dict)

    def flanged(self, hookup: Hookup) -> list[FlangedJoint]:
        """The flanged joints of one of the hookups, worked out once for all lists."""
        if id(hookup) not in self._flanged:
            self._flanged[id(hookup)] = flanged_joints(hookup)
        return self._flanged[id(hookup)]

    def scales(self, hookup: Hookup) -> Scales:
        """The scales of one of the hookups, on which every component is weighed once for all lists."""
        if id(hookup) not in self._scales:
            self._scales[id(hookup)] = Scales(hookup)
        return self._scales[id(hookup)]

    def sections(self, hookup: Hookup) -> Sections:
        """The sections of one of the hookups, found once for all lists."""
        if id(hookup) not in self._sections:
            self._sections[id(hookup)] = Sections(hookup)
        return self._sections[id(hookup)]

    def spools(self, hookup: Hookup) -> Spools:
        """The spools of one of the hookups, found once for all lists."""
        if id(hookup) not in self._spools:
            self._spools[id(hookup)] = spools_of(hookup, self.scales(hookup), self.settings.spools)
        return self._spools[id(hookup)]

    def welds(self, hookup: Hookup) -> list[Weld]:
        """The welds of one of the hookups, with those that part two spools as field welds; found once for all lists."""
        if id(hookup) not in self._welds:
            self._welds[id(hookup)] = welds_of(hookup, self.spools(hookup).field_welds)
        return self._welds[id(hookup)]
