"""Where liquid gets to from an opening of a piece that is shut in: not through shut valves, nor back through checks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, field

from ..model.hookup import Component, Hookup
from .sections import Section, Sections


@dataclass(slots=True)
class Inside:
    """A piece as liquid sees it: what lies in it, what each of its components is joined to, and its check valves."""

    hookup: Hookup
    sections: Sections
    ids: frozenset[str]

    def reach(self, starts: Iterable[Component], *, back: bool = False) -> frozenset[str]:
        """What liquid from some valves or plugs gets to; with `back`, from where it gets to them."""
        entry = "out" if back else "in"
        todo = [id for start in starts for id in self._beside(start.id)]
        found = set(todo)
        while todo:
            at = todo.pop()
            leaves = self._leaves(at, back)
            for port, other, other_port, _ in self.sections.neighbours[at]:
                if other in found or other not in self.ids or (leaves and port != leaves):
                    continue
                if not self._checks(other) or other_port == entry:
                    found.add(other)
                    todo.append(other)
        return frozenset(found)

    def parts(self, ids: Set[str]) -> list[Part]:
        """Some of the piece as parts that hang together, each with the valves at its ends; not what is only the end of
        a valve."""
        made: list[Part] = []
        left = set(ids)
        for start in (c.id for c in self.hookup.components()):
            if start not in left:
                continue
            part, todo = Part(), [start]
            left.discard(start)
            while todo:
                at = todo.pop()
                part.ids.append(at)
                for _, other, _, _ in self.sections.neighbours[at]:
                    valve = self.hookup.component(other)
                    if other in left:
                        left.discard(other)
                        todo.append(other)
                    elif other not in ids:
                        end = self.hookup.component(at) if self._checks(at) and other in self.ids else valve
                        if not end.role and end.kind.can_any(_BARS) and end not in part.ends:
                            part.ends.append(end)
            part.coils = [c for c in map(self.hookup.component, part.ids) if c.kind.ports == "coil"]
            if any(self._holds(self.hookup.component(id)) for id in part.ids):
                made.append(part)
        return made

    def _beside(self, id: str) -> list[str]:
        """A component of the piece itself, else what is joined to it there."""
        if id in self.ids:
            return [id]
        return [other for _, other, _, _ in self.sections.neighbours[id] if other in self.ids]

    def _checks(self, id: str) -> bool:
        return self.hookup.component(id).kind.can("checks")

    def _leaves(self, id: str, back: bool) -> str:
        """The one port by which liquid goes on through a check valve; empty for anything else."""
        return ("in" if back else "out") if self._checks(id) else ""

    def _holds(self, component: Component) -> bool:
        """Whether it is more than the end of a valve: a flange, or the check valve itself."""
        return component.kind.group not in ("flanges",) and not component.between and not self._checks(component.id)


_BARS = frozenset(("isolates", "checks"))


@dataclass(slots=True)
class Part:
    """Some of a piece: ids, the coils in it, the valves at its ends."""

    ids: list[str] = field(default_factory=list)
    ends: list[Component] = field(default_factory=list)
    coils: list[Component] = field(default_factory=list)

    @property
    def between(self) -> str:
        """`between CV-1 and BV-3`."""
        names = list(dict.fromkeys(valve.called for valve in self.ends))
        if not names:
            return "anywhere in it"
        return f"between {', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else f"behind {names[0]}"

    @property
    def what(self) -> str:
        """What lies in it, in words."""
        return " and ".join(f"coil {coil.tag}" for coil in self.coils) or "this stretch"


def inside(hookup: Hookup, sections: Sections, section: Section) -> Inside:
    """A section with all its valves shut."""
    return Inside(hookup, sections, frozenset(c.id for c in section.components))


@dataclass(slots=True)
class Entry:
    """Where a piece is filled, and what that fills. `covers_all`: it fills all of the piece by itself."""

    at: Component
    fills: frozenset[str]
    covers_all: bool


def entries(
    piece: Inside, drains: Sequence[Component], mains: Sequence[Component], vents: Sequence[Component]
) -> tuple[list[Entry], list[Part]]:
    """The openings that a piece is filled at, one if one does, and the parts that none of them fills.

    `drains` from the lowest up are asked first, then the shutoffs of its own `mains`, then a vent if another one lets
    the air out, from which no check valve parts it.
    """
    ways = [(at, piece.reach((at,))) for at in (*drains, *mains)]
    vented = [(at, piece.reach((at,))) for at in vents]
    ways += [(at, way) for at, way in vented if [one for _, one in vented].count(way) > 1]
    for at, way in ways:
        if not piece.parts(piece.ids - way):
            return [Entry(at, way, True)], []
    found: list[Entry] = []
    left = set(piece.ids)
    for some in (ways[: len(drains)], ways[len(drains) :]):
        while some:
            at, way = max(some, key=lambda one: len(one[1] & left))  # of alike, the first
            if not piece.parts(way & left):
                break
            found.append(Entry(at, way, False))
            left -= way
    return found, piece.parts(left)
