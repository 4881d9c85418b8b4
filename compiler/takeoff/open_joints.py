"""Joints that nothing makes up: the lists name them, since what they would take is in no count."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..model.ends import End
from ..model.hookup import NOT_MADE_UP, UNSETTLED, Component, Hookup
from ..model.span import Origin
from .job import Job
from .tally import units_text

FLANGED = ("flange", "lug", "wafer")
NOT_COUNTED = "does not bolt: not counted"


class OpenJoint(NamedTuple):
    """Two neighbours whose ends do not go together, in flow order."""

    a: Component
    b: Component
    end_a: End
    end_b: End
    origin: Origin

    @property
    def is_flanged(self) -> bool:
        """Whether gaskets or bolts are missing for it."""
        return self.end_a.form in FLANGED or self.end_b.form in FLANGED

    def __str__(self) -> str:
        return f"{_end(self.a, self.end_a)} to {_end(self.b, self.end_b)}"


def open_joints(hookup: Hookup) -> Iterator[OpenJoint]:
    """Those of a hookup, in flow order."""
    for u, v, joint in sorted(hookup.joints(), key=lambda edge: edge[2].order):
        if joint.kind == NOT_MADE_UP:
            a, b = hookup.component(u), hookup.component(v)
            origin = tuple(dict.fromkeys((*a.origin[:1], *b.origin[:1], *joint.origin)))
            yield OpenJoint(a, b, joint.end_a, joint.end_b, origin)


def _end(component: Component, end: End) -> str:
    return component.called if end.form == UNSETTLED else f"{component.called} ({end})"


def not_counted(job: Job, flanged: bool) -> tuple[str, ...]:
    """A note that names every such joint with its units, if there is one. `flanged`: only those of flanges."""
    found = [
        f"{units_text(hookup.units)}: {joint}"
        for hookup in job.hookups
        for joint in open_joints(hookup)
        if joint.is_flanged or not flanged
    ]
    what = "Does not bolt, and its gasket and bolts are" if flanged else "Does not go together, and what joins it is"
    return (f"{what} not counted: {'; '.join(dict.fromkeys(found))}.",) if found else ()
