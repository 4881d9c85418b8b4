"""Pairs of solids of one hookup that stand in one another."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..model.hookup import Hookup
from ..model.measured import Point
from .overlap import Cylinder, depth
from .sections import Sections
from .solids import Solid, Solids, solids_of

#: Less than this is no clash: so well a fitter reads a tape, twice. Common practice, no source.
LEAST = 1 / 8


@dataclass(frozen=True, slots=True)
class Clash:
    """Two solids in one place, by how much, and where. `bare`: even without their insulation."""

    a: Solid
    b: Solid
    depth: float
    at: Point
    bare: bool


def solids(hookup: Hookup, sections: Sections) -> Solids:
    """The solids of a hookup, worked out once for all rules."""
    return sections.once(_solids)


def _solids(hookup: Hookup, sections: Sections) -> Solids:
    return solids_of(hookup, hookup.measured) if hookup.measured is not None else Solids()


def clashes(hookup: Hookup, sections: Sections) -> list[Clash]:
    """All clashes of a hookup, the deepest first, and of those between neighbouring straights only that."""
    return sections.once(_clashes)


def _clashes(hookup: Hookup, sections: Sections) -> list[Clash]:
    made = solids(hookup, sections)
    pairs = ((made.all[a], made.all[b]) for a, b in sorted(near(made.all)))
    found = [clash for a, b in pairs if (clash := _clash(a, b, made, sections)) is not None]
    # Of two that are as deep, the one that has a tag is the one a reader knows.
    found.sort(key=lambda clash: (not clash.bare, -round(clash.depth, 6), not _tagged(clash)))
    return list(_deepest(found, made))


def near(all: Sequence[Solid]) -> Iterator[tuple[int, int]]:
    """The numbers of pairs of one island whose boxes, with insulation on, overlap; swept along its longest side."""
    islands: dict[int, list[tuple[Point, Point, int]]] = {}
    for number, solid in enumerate(all):
        islands.setdefault(solid.island, []).append((*solid.dressed.bounds, number))
    for boxes in islands.values():
        spread = [max(high[n] for _, high, _ in boxes) - min(low[n] for low, _, _ in boxes) for n in range(3)]
        x, y, z = sorted(range(3), key=lambda n: -spread[n])
        boxes.sort(key=lambda box: (box[0][x], box[2]))
        open_: list[tuple[Point, Point, int]] = []
        for box in boxes:
            low, high, number = box
            open_ = [other for other in open_ if other[1][x] > low[x]]
            for other_low, other_high, other in open_:
                if (
                    other_low[y] < high[y]
                    and low[y] < other_high[y]
                    and other_low[z] < high[z]
                    and low[z] < other_high[z]
                ):
                    yield min(number, other), max(number, other)
            open_.append(box)


def _clash(a: Solid, b: Solid, made: Solids, sections: Sections) -> Clash | None:
    """A pair as a clash, unless it follows each other.

    Two pieces on one straight, or two that are joined by less line than both are thick, meet around a corner or at a
    tee in every hookup. Whether they fit there is a matter of take-outs, which rule `no-room-for-pipe` looks at. A stem
    or handwheel stands beside its line and counts against all but its own valve.
    """
    if a.component is b.component:
        return None
    parts = bool(a.what or b.what)
    if not parts and a.straights & b.straights:
        return None
    slanted = a.shape.axis is None or b.shape.axis is None
    if slanted and not parts and _follow(a, b, made, sections):  # asked first: an elbow's arc costs more to lay
        return None
    deep, bare = depth(a.shape, b.shape), True
    if deep <= LEAST and (a.jacket or b.jacket):
        deep, bare = depth(a.dressed, b.dressed), False
    if deep <= LEAST:
        return None
    if not slanted and not parts and _follow(a, b, made, sections):
        return None
    return Clash(a, b, deep, _common(a.dressed, b.dressed), bare)


def _follow(a: Solid, b: Solid, made: Solids, sections: Sections) -> bool:
    """Whether the line between two pieces is shorter than both are thick; what is between them counts, not they."""
    most = a.dressed.radius + b.dressed.radius
    start, goal = a.component.id, b.component.id
    queue: list[tuple[float, str]] = [(0.0, start)]
    done: set[str] = set()
    while queue:
        length, at = heapq.heappop(queue)
        if at in done:
            continue
        done.add(at)
        for _, other, _, _ in sections.neighbours[at]:
            if other == goal:
                return True
            beyond = length + made.lengths.get(other, 0.0)
            if other not in done and beyond < most and sections.hookup.component(other).kind.ports != "coil":
                heapq.heappush(queue, (beyond, other))
    return False


def _common(a: Cylinder, b: Cylinder) -> Point:
    """The middle of what the boxes around two cylinders have in common."""
    (a_low, a_high), (b_low, b_high) = a.bounds, b.bounds
    x, y, z = ((max(a_low[n], b_low[n]) + min(a_high[n], b_high[n])) / 2 for n in range(3))
    return (x, y, z)


def _tagged(clash: Clash) -> bool:
    return bool(clash.a.component.tag or clash.b.component.tag)


def _deepest(found: Iterable[Clash], made: Solids) -> Iterator[Clash]:
    """One clash for all those of neighbouring straights: a pipe that runs through a valve meets its flanges too."""
    told: list[tuple[frozenset[int], frozenset[int]]] = []
    for clash in found:
        a, b = clash.a.straights, clash.b.straights
        near_a, near_b = (set().union(*(made.beside[number] for number in of)) for of in (a, b))
        if not any((near_a & c and near_b & d) or (near_a & d and near_b & c) for c, d in told):
            told.append((a, b))
            yield clash
