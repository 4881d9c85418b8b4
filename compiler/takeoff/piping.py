"""The piping of a hookup apart from what hangs on its side."""

from __future__ import annotations

from dataclasses import dataclass

from ..analysis.ways import Way, ways
from ..model.hookup import Component, Hookup
from .job import Job

#: Groups of kinds that stand in the line as bodies of their own.
_BODIES = ("valves", "specialties", "instruments", "equipment")


def is_body(component: Component) -> bool:
    """Whether a component is a valve, strainer, pump or the like."""
    return component.kind.group in _BODIES and component.kind.ports not in ("coil", "main")


@dataclass(frozen=True, slots=True)
class Piping:
    """`line`: what lies between mains, coils and each other. `taps`: drains, vents, gauges, relief valves on it."""

    line: tuple[Component, ...]
    taps: tuple[Way, ...]

    @property
    def ids(self) -> set[str]:
        """Of all that is in the line."""
        return {component.id for component in self.line}


def piping(job: Job, hookup: Hookup) -> Piping:
    """One hookup's; coils and mains are in neither."""
    found = ways(hookup, job.sections(hookup))
    line: dict[str, Component] = {}
    for way in found:
        if not way.is_side:
            ends = [end[0] for end in (way.head, way.tail) if end is not None]
            for component in (*ends, *way.components):
                if component.kind.ports not in ("coil", "main"):
                    line[component.id] = component
    taps = tuple(way for way in found if way.is_side and way.head is not None and way.head[0].id in line)
    return Piping(tuple(line.values()), taps)


def what_taps(way: Way) -> tuple[str, Component]:
    """What hangs on a side: `drain`, `vent`, `relief valve`; and its first component behind the outlet."""
    role = next((c.role for c in way.components if c.role), "")
    return role or way.components[-1].kind.name, way.components[0]
