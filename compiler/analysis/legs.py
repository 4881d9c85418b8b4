"""The two legs of a coil as a fitter walks them: components in flow order, from the supply main to the coil, and on to
the return main."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from ..model.hookup import Component, Hookup, Joint
from .sections import Sections

LegName = Literal["supply", "return"]
LEGS: tuple[LegName, LegName] = ("supply", "return")

#: The other side of the straight way through a component.
_THROUGH = {"in": "out", "out": "in"}


@dataclass
class Leg:
    """One leg. `way` holds its components in flow order without coil and main; `joints` the joints between them.

    It stays as `leg_of` makes it.
    `main` is the main it ends at, None if it does not lead to one along the straight way through tees and valves.
    """

    coil: str
    name: LegName
    way: list[Component] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    main: Component | None = None

    def shutoff(self) -> int | None:
        """Where on the way the shutoff nearest to the coil stands."""
        found = [n for n, c in self.placed("isolates") if is_shutoff(c)]
        if not found:
            return None
        return found[-1] if self.name == "supply" else found[0]

    def inside(self) -> list[Component]:
        """The part between the shutoff nearest to the coil and the coil, in flow order; all of it without a shutoff."""
        at = self.shutoff()
        if at is None:
            return self.way
        return self.way[at + 1 :] if self.name == "supply" else self.way[:at]

    def having(self, ability: str) -> list[Component]:
        """The components of the leg that have an ability."""
        return [c for _, c in self.placed(ability)]

    def placed(self, ability: str) -> Sequence[tuple[int, Component]]:
        """The same, each with its place on the way."""
        return self._able.get(ability, ())

    @cached_property
    def _able(self) -> dict[str, list[tuple[int, Component]]]:
        found: dict[str, list[tuple[int, Component]]] = {}
        for place in enumerate(self.way):
            for ability in place[1].kind.abilities:
                found.setdefault(ability, []).append(place)
        return found


def is_shutoff(component: Component) -> bool:
    """A hand valve that seals and stands in a line, not in a drain or vent."""
    return component.kind.can("isolates") and not component.role


def leg_of(hookup: Hookup, sections: Sections, coil: str, name: LegName) -> Leg:
    """The leg of a coil: the straight way through inline components and tees, against the flow on the supply."""
    leg = Leg(coil, name)
    at, port = coil, str(name)
    seen = {coil}
    while True:
        step = sections.beyond(at, port)
        if step is None or step[0] in seen:
            break
        at, back, joint = step
        seen.add(at)
        leg.joints.append(joint)
        component = hookup.component(at)
        if component.kind.ports == "main":
            leg.main = component
            break
        leg.way.append(component)
        if component.kind.ports == "coil":
            break
        # A line that starts at a tee comes out of its branch: the way goes on along the tee's own run.
        port = _THROUGH.get(back) or ("in" if name == "supply" else "out")
    if name == "supply":
        leg.way.reverse()
        leg.joints.reverse()
    return leg


def branch_of(hookup: Hookup, sections: Sections, component: Component) -> Sequence[Component]:
    """What hangs on the side port of a component, nearest first, as far as it is one string."""
    return tuple(_string(hookup, sections, component.id, "branch"))


def _string(hookup: Hookup, sections: Sections, at: str, port: str) -> Iterator[Component]:
    seen = {at}
    while True:
        step = sections.beyond(at, port)
        if step is None or step[0] in seen:
            return
        at, back, _ = step
        seen.add(at)
        component = hookup.component(at)
        yield component
        port = _THROUGH.get(back, "out")
