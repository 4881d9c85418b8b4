"""The cutting problem in whole numbers, and two ways to a plan without a solver."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

#: What is cut from one length: (number of the class of pieces, how many of them), by class.
Contents: TypeAlias = tuple[tuple[int, int], ...]
#: (kind of length, contents) -> how many lengths are cut so.
Bins: TypeAlias = dict[tuple[int, Contents], int]


@dataclass(frozen=True, slots=True)
class Problem:
    """Classes of equal pieces, the longest first, and kinds of lengths to cut them from.

    A piece takes its length and one kerf of a length's room, which is the length and one kerf: so the last piece of a
    length that comes out even needs no cut. `costs` are the lengths of what is bought, 0 for what is on hand; bought
    kinds are there without end (`available` None).
    """

    takes: tuple[int, ...]
    demand: tuple[int, ...]
    rooms: tuple[int, ...]
    costs: tuple[int, ...]
    available: tuple[int | None, ...]

    @property
    def bought(self) -> list[int]:
        """The kinds that can be bought, the cheapest first."""
        kinds = (kind for kind, count in enumerate(self.available) if count is None)
        return sorted(kinds, key=lambda kind: (self.costs[kind], kind))

    @property
    def on_hand(self) -> list[int]:
        """The kinds that are on hand, the shortest first."""
        kinds = (kind for kind, count in enumerate(self.available) if count is not None)
        return sorted(kinds, key=lambda kind: (self.rooms[kind], kind))

    def holder(self, load: int) -> int | None:
        """The cheapest bought kind with room for a load, or None."""
        return next((kind for kind in self.bought if self.rooms[kind] >= load), None)

    def load(self, contents: Contents) -> int:
        """The room that contents take."""
        return sum(self.takes[number] * count for number, count in contents)

    def missing(self, bins: Bins) -> list[int]:
        """How many pieces of each class the bins do not hold; negative: more than are asked for."""
        missing = list(self.demand)
        for (_, contents), times in bins.items():
            for number, count in contents:
                missing[number] -= count * times
        return missing

    def left_on_hand(self, bins: Bins) -> list[int]:
        """How many lengths of each kind on hand the bins do not use, no more than there are pieces; 0 of what is
        bought."""
        used = [0] * len(self.rooms)
        for (kind, _), times in bins.items():
            used[kind] += times
        most = sum(self.demand)
        return [0 if there is None else min(there, most) - used[kind] for kind, there in enumerate(self.available)]

    def bill(self, bins: Bins) -> int:
        """What the bins cost: the length bought."""
        return sum(self.costs[kind] * times for (kind, _), times in bins.items())

    def score(self, bins: Bins) -> tuple[int, int, int]:
        """What is to be least, in this order: pieces left over, length bought, number of lengths."""
        left = sum(max(0, count) for count in self.missing(bins))
        return left, self.bill(bins), sum(bins.values())


def first_fit(problem: Problem, start: Mapping[tuple[int, Contents], int] | None = None) -> Bins:
    """First-fit decreasing for what `start` does not hold yet: on-hand lengths first, the shortest of them first.

    Tried with each bought kind as the one that is opened; each bought length is then made as short as its load lets it
    be. Pieces that nothing has room for are left out.
    """
    start = dict(start or {})
    tries = (_first_fit(problem, start, kind) for kind in problem.bought or (None,))
    return min((shortened(problem, bins) for bins in tries), key=problem.score)


def _first_fit(problem: Problem, start: Bins, favourite: int | None) -> Bins:
    need = problem.missing(start)
    open_bins: list[tuple[int, list[tuple[int, int]]]] = []
    room: list[int] = []
    total = sum(max(0, count) for count in need)
    for kind in problem.on_hand:
        for _ in range(min(problem.left_on_hand(start)[kind], total)):
            open_bins.append((kind, []))
            room.append(problem.rooms[kind])
    for number, takes in enumerate(problem.takes):
        at, rest = 0, need[number]
        while rest > 0:
            while at < len(room) and room[at] < takes:
                at += 1
            if at == len(room):
                fits = favourite is not None and problem.rooms[favourite] >= takes
                kind_to_open = favourite if fits else problem.holder(takes)
                if kind_to_open is None:
                    break
                open_bins.append((kind_to_open, []))
                room.append(problem.rooms[kind_to_open])
            count = min(rest, room[at] // takes)
            open_bins[at][1].append((number, count))
            room[at] -= count * takes
            rest -= count
    return gathered([*start.items(), *(((kind, tuple(inside)), 1) for kind, inside in open_bins if inside)])


def fullest(problem: Problem) -> Bins:
    """Length by length: the longest piece left, and with it whatever fills the length best; again while there are any.

    After J. N. D. Gupta and J. C. Ho, Production Planning and Control 10 (1999), with each filling exact.
    """
    tries = (_fullest(problem, kind) for kind in problem.bought or (None,))
    return min((shortened(problem, bins) for bins in tries), key=problem.score)


def _fullest(problem: Problem, favourite: int | None) -> Bins:
    need = list(problem.demand)
    made: list[tuple[tuple[int, Contents], int]] = []

    def cut(kind: int, first: int, most: int) -> int:
        """Cut lengths of a kind, at most so many, alike; how many were cut."""
        inside = dict(_filled(problem, need, problem.rooms[kind] - problem.takes[first], first))
        inside[first] = inside.get(first, 0) + 1
        times = min(most, *(need[number] // count for number, count in inside.items()))
        for number, count in inside.items():
            need[number] -= count * times
        made.append(((kind, tuple(sorted(inside.items()))), times))
        return times

    for kind in problem.on_hand:
        rest = problem.available[kind] or 0
        while rest:
            first = next((n for n, t in enumerate(problem.takes) if need[n] and t <= problem.rooms[kind]), None)
            if first is None:
                break
            rest -= cut(kind, first, rest)
    for number, takes in enumerate(problem.takes):
        fits = favourite is not None and problem.rooms[favourite] >= takes
        opened = favourite if fits else problem.holder(takes)
        while opened is not None and need[number]:
            cut(opened, number, need[number])
    return gathered(made)


def _filled(problem: Problem, need: Sequence[int], room: int, taken: int) -> Contents:
    """What fills a room best, of the classes from `taken` on, one of which is taken already; long pieces first.

    The sums that can be made are the bits of a whole number.
    """
    sums, inside = 1, (1 << room + 1) - 1
    rows: list[tuple[int, int, int]] = []
    for number in range(taken, len(need)):
        takes, batch = problem.takes[number], 1
        copies = min(need[number] - (number == taken), room // takes)
        while copies > 0:
            batch = min(batch, copies)
            rows.append((number, batch, sums))
            sums |= (sums << takes * batch) & inside
            copies, batch = copies - batch, 2 * batch
        if sums >> room:
            break
    load = sums.bit_length() - 1
    counts: dict[int, int] = {}
    for number, batch, before in reversed(rows):
        if not before >> load & 1:
            counts[number] = counts.get(number, 0) + batch
            load -= problem.takes[number] * batch
    return tuple(counts.items())


def all_patterns(problem: Problem, most: int) -> list[tuple[int, Contents]] | None:
    """Every way to fill a length to which nothing more can be added; None if there are more than `most`."""
    found: list[tuple[int, Contents]] = []
    for kind, whole in enumerate(problem.rooms):
        stack: list[tuple[int, int, Contents]] = [(0, whole, ())]
        tried = 0
        while stack:
            number, room, contents = stack.pop()
            tried += 1
            if len(found) > most or tried > 10 * most:
                return None
            if number == len(problem.takes):
                inside = dict(contents)
                if contents and not any(
                    takes <= room and inside.get(n, 0) < problem.demand[n] for n, takes in enumerate(problem.takes)
                ):
                    found.append((kind, contents))
                continue
            takes = problem.takes[number]
            for count in range(min(problem.demand[number], room // takes) + 1):
                more = ((number, count),) if count else ()
                stack.append((number + 1, room - count * takes, (*contents, *more)))
    return found


def gathered(bins: Sequence[tuple[tuple[int, Contents], int]]) -> Bins:
    """Equal bins drawn together."""
    made: Bins = {}
    for key, times in bins:
        made[key] = made.get(key, 0) + times
    return made


def shortened(problem: Problem, bins: Bins) -> Bins:
    """The same with each bought length as short as its load lets it be."""

    def kind_for(kind: int, contents: Contents) -> int:
        shorter = problem.holder(problem.load(contents)) if problem.available[kind] is None else None
        return kind if shorter is None else shorter

    return gathered([((kind_for(kind, contents), contents), times) for (kind, contents), times in bins.items()])


def trimmed_to_demand(problem: Problem, bins: Bins) -> Bins:
    """The same without pieces beyond the demand, and without lengths from which nothing is cut then."""
    surplus = [max(0, -count) for count in problem.missing(bins)]
    if not any(surplus):
        return bins
    made: list[tuple[tuple[int, Contents], int]] = []
    for (kind, contents), times in bins.items():
        for _ in range(times):
            kept = []
            for number, count in contents:
                away = min(surplus[number], count)
                surplus[number] -= away
                if count > away:
                    kept.append((number, count - away))
            if kept:
                made.append(((kind, tuple(kept)), 1))
    return shortened(problem, gathered(made))
