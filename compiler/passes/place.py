"""Where every mark of a measured hookup is, which lengths follow from two places, and which lines miss their end."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from fractions import Fraction

from ..model.hookup import AXIS, Hookup, Place
from ..model.measured import Mark, Measured, Miss, Straight, Vector
from .geometry import unit_vector, vector_of

#: A line meets its end if it comes this near: what a fitter reads off a tape. Common practice, no source.
TOLERANCE = Fraction(1, 16)
_NOWHERE: Vector = (Fraction(0), Fraction(0), Fraction(0))


def place(hookup: Hookup, measured: Measured) -> None:
    """Fill in `marks`, `islands`, `misses`, and lengths that follow from the two ends of a line.

    Needs: the straights of `measured`.
    """
    anchors = _anchors(hookup)
    rank = {id: 0 if line.word in ("supply", "return") else 1 for id, line in hookup.lines.items()}
    lines = _ways(measured.straights)
    spread = _Spread(measured.straights, anchors, rank)
    while _solve(lines, spread):
        spread = _Spread(measured.straights, anchors, rank)
    measured.marks, measured.islands = spread.marks, spread.islands
    measured.misses = [
        *(_miss(hookup, straight, spread) for straight in spread.closing if spread.off(straight) is not None),
        *_short(hookup, lines, spread),
    ]


def _anchors(hookup: Hookup) -> dict[Mark, Vector]:
    """The places that the file gives, in the frame of the bench mark. What a place does not say is nought."""
    made: dict[Mark, Vector] = {}
    for tag, coil in hookup.coils.items():
        for port in coil.ports.values():
            if port.place is not None:
                made[tag, port.name] = _at(port.place)
    for link in hookup.straights:
        line = hookup.lines.get(link.line)
        if line is None:
            continue
        if line.start is not None and hookup.component(link.a).kind.ports == "main":
            made[link.a, link.port_a] = _at(line.start)
        if line.end is not None and hookup.component(link.b).kind.ports == "main":
            made[link.b, link.port_b] = _at(line.end)
    return made


def _at(place: Place) -> Vector:
    return (place.right or Fraction(0), place.toward or Fraction(0), place.up or Fraction(0))


def _plus(a: Vector, b: Vector, times: int = 1) -> Vector:
    return (a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2])


class _Spread:
    """Places spread from what is known along straights of known length: supplies and returns first, then the others.

    What nothing ties to a place of the file makes an island of its own, from its first mark.
    """

    def __init__(self, straights: Sequence[Straight], anchors: dict[Mark, Vector], rank: dict[str, int]) -> None:
        self.marks: dict[Mark, Vector] = {}
        self.islands: dict[Mark, int] = {}
        self.closing: list[Straight] = []  # those that both ends were placed for without them
        self._at: dict[Mark, list[tuple[int, int]]] = {}
        self._straights, self._rank = straights, rank
        self._done: set[int] = set()
        for number, straight in enumerate(straights):
            if straight.vector is not None:
                entry = (rank.get(straight.line, 1), number)
                self._at.setdefault(straight.a, []).append(entry)
                self._at.setdefault(straight.b, []).append(entry)
        self._queue: list[tuple[int, int]] = []
        for mark, where in anchors.items():
            self._put(mark, where, 0)
        self._run(0)
        island = 0
        for straight in straights:
            for mark in (straight.a, straight.b):
                if mark not in self.marks:
                    island += 1
                    self._put(mark, _NOWHERE, island)
                    self._run(island)

    def _put(self, mark: Mark, where: Vector, island: int) -> None:
        self.marks[mark], self.islands[mark] = where, island
        for entry in self._at.get(mark, ()):
            heapq.heappush(self._queue, entry)

    def _run(self, island: int) -> None:
        while self._queue:
            _, number = heapq.heappop(self._queue)
            if number in self._done:
                continue
            self._done.add(number)
            straight = self._straights[number]
            assert straight.vector is not None
            if straight.b not in self.marks:
                self._put(straight.b, _plus(self.marks[straight.a], straight.vector), island)
            elif straight.a not in self.marks:
                self._put(straight.a, _plus(self.marks[straight.b], straight.vector, -1), island)
            else:
                self.closing.append(straight)

    def off(self, straight: Straight) -> Vector | None:
        """By how much a closing straight ends beside its end; None if it meets it."""
        assert straight.vector is not None
        by = _plus(_plus(self.marks[straight.a], straight.vector), self.marks[straight.b], -1)
        return by if any(abs(part) > TOLERANCE for part in by) else None


def _miss(hookup: Hookup, straight: Straight, spread: _Spread) -> Miss:
    by = spread.off(straight)
    assert by is not None
    return Miss(straight.line, by, (hookup.lines[straight.line].span,))


# -- lengths that follow from two places ---------------------------------------------------------------------------


def _ways(straights: Sequence[Straight]) -> dict[str, list[Straight]]:
    """Every line's straights from its start to its end, without its branches, in flow order."""
    by_line: dict[str, list[Straight]] = {}
    for straight in straights:
        by_line.setdefault(straight.line, []).append(straight)
    made = {}
    for line, own in by_line.items():
        onward = {s.a: s for s in own[1:] if s.port_a == "out"}
        way = [own[0]]
        while (following := onward.pop(way[-1].b, None)) is not None:
            way.append(following)
        made[line] = way
    return made


def _open(way: Sequence[Straight]) -> list[Straight]:
    return [straight for straight in way if straight.vector is None]


def _solve(lines: dict[str, list[Straight]], spread: _Spread) -> bool:
    """Fill in the lengths that follow from the places of a line's two ends; whether there were any.

    One unknown length is found for each direction of space. Level ones first: their pitch counts upward.
    """
    solved = False
    for way in lines.values():
        unknown = _open(way)
        if not unknown or spread.islands[way[0].a] != spread.islands[way[-1].b]:
            continue
        if any(s.heading not in AXIS for s in unknown):
            continue
        for axis in (0, 1, 2):
            along = [s for s in unknown if AXIS[s.heading] == axis and s.vector is None]
            if len(along) != 1 or (axis == 2 and any(s.vector is None for s in unknown if AXIS[s.heading] < 2)):
                continue
            needed = _needed(way, spread, axis) * _sign(along[0].heading)
            if needed >= -TOLERANCE:  # nothing left is a length too: what stands at its ends then has no room
                along[0].centres, along[0].how = max(needed, Fraction(0)), "from its ends"
                along[0].vector = vector_of(along[0])
                solved = True
    return solved


def _needed(way: Sequence[Straight], spread: _Spread, axis: int) -> Fraction:
    """How far the line has still to go along an axis, with all of its known straights laid."""
    start, end = spread.marks[way[0].a][axis], spread.marks[way[-1].b][axis]
    laid = sum((s.vector[axis] for s in way if s.vector is not None), Fraction(0))
    level = sum((s.rise for s in way if s.vector is None), Fraction(0)) if axis == 2 else Fraction(0)
    return end - start - laid - level


def _sign(heading: str) -> int:
    unit = unit_vector(heading)
    assert unit is not None
    return sum(unit)


def _short(hookup: Hookup, lines: dict[str, list[Straight]], spread: _Spread) -> Iterator[Miss]:
    """Lines with lengths that nobody gave, which no length could bring to their end."""
    for line, way in lines.items():
        unknown = _open(way)
        if not unknown or spread.islands[way[0].a] != spread.islands[way[-1].b]:
            continue
        if any(s.heading not in AXIS for s in unknown):
            continue
        by = [Fraction(0)] * 3
        for axis in (0, 1, 2):
            along = [s for s in unknown if AXIS[s.heading] == axis]
            needed = _needed(way, spread, axis)
            if not along or (len(along) == 1 and needed * _sign(along[0].heading) < -TOLERANCE):
                by[axis] = -needed
        if any(abs(part) > TOLERANCE for part in by):
            yield Miss(line, (by[0], by[1], by[2]), (hookup.lines[line].span,))
