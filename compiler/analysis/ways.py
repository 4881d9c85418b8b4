"""Ways: the piping of a hookup as strings of components, from one branch, coil or main straight through to the next."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..model.hookup import Component, Hookup
from .sections import Sections

_THROUGH = {"in": "out", "out": "in"}


@dataclass(slots=True)
class Way:
    """One string in flow order. `head` and `tail` are what it starts and ends at (coil, main, the side of a tee), with
    the port; None where it ends by itself."""

    head: tuple[Component, str] | None
    components: list[Component] = field(default_factory=list)
    tail: tuple[Component, str] | None = None

    @property
    def is_side(self) -> bool:
        """Whether it is a drain, vent, gauge or the like: it ends by itself."""
        return self.head is None or self.tail is None


def ways(hookup: Hookup, sections: Sections) -> list[Way]:
    """Every string of a hookup once, those first that begin at what the file names first."""
    made: list[Way] = []
    seen: set[int] = set()
    for component in hookup.components():
        for port, other, back, joint in sections.neighbours.get(component.id, ()):
            if port not in _THROUGH and id(joint) not in seen:
                made.append(_walk(hookup, sections, component, port, other, back, seen))
    return made


def _walk(hookup: Hookup, sections: Sections, head: Component, port: str, other: str, back: str, seen: set[int]) -> Way:
    way = Way((head, port))
    at, came = head.id, port
    against = back == "out"
    while True:
        step = next((s for s in sections.neighbours.get(at, ()) if s[0] == came and id(s[3]) not in seen), None)
        if step is None:
            break
        _, at, back, joint = step
        seen.add(id(joint))
        component = hookup.component(at)
        if back not in _THROUGH:
            way.tail = (component, back)
            break
        way.components.append(component)
        came = _THROUGH[back]
    if against:
        way.components.reverse()
        way.head, way.tail = way.tail, way.head
    return way


def sides(found: list[Way]) -> dict[str, list[Component]]:
    """What hangs on the side of each component: its drains, vents, gauges; not what leads on to another line."""
    made: dict[str, list[Component]] = {}
    for way in found:
        end = way.head or way.tail
        if way.is_side and end is not None:
            made.setdefault(end[0].id, []).extend(way.components)
    return made
