"""The cheapest way from one end to another through the pieces of a spec: a shortest-path search over ends."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from typing import NamedTuple

from ..catalogue.pieces import PIPE_FORM, Piece, PieceBook, piece_kinds
from ..model.declared import Spec, SpecRow
from ..model.ends import End
from ..model.kind import Kind
from ..model.size import Size, size
from .mate import Mate, mate

#: More pieces than this between two neighbours is no joint that anybody builds; it bounds the search.
MOST_PIECES = 10
#: Preparing the end of a pipe otherwise than its row's way of joining (a thread on pipe that is otherwise welded).
_PREPARE = 3


class Way(NamedTuple):
    """A solved joint: the pieces in order, the joint before each and the one behind the last, and what it cost."""

    pieces: tuple[Piece, ...]
    mates: tuple[Mate, ...]
    end: End  # the end that the last joint meets: the neighbour's own, or that of the run of pipe
    cost: int


#: A goal: the ends that the search may finish on, and what finishing there costs.
Goal = Sequence[tuple[End, int]]


class Searcher:
    """Searches with one spec's pieces. Results are kept, since a job asks the same thing over and over."""

    def __init__(self, spec: Spec) -> None:
        self.spec = spec
        self.book = PieceBook(spec)
        self._known: dict[object, Way | None] = {}

    @staticmethod
    def pipe_kind(name: str) -> Kind:
        """The kind of a run of pipe: `pipe` or `tube`."""
        return piece_kinds()[name]

    def between(self, a: End, b: End, level: bool, open_: bool) -> Way | None:
        """The way from `a` to `b` with nothing but fittings between; `open_`: it must be possible to undo it."""
        key = (a, b, level, open_)
        if key not in self._known:
            self._known[key] = self._search(a, [(b, 0)], level, open_)
        return self._known[key]

    def to_pipe(self, a: End, at: Size, level: bool, open_: bool) -> Way | None:
        """The way from `a` to a run of pipe of size `at`."""
        key = (a, at, level, open_)
        if key not in self._known:
            row = self.spec.row(at)
            self._known[key] = None if row is None else self._search(a, pipe_ends(row, at), level, open_)
        return self._known[key]

    def _search(self, a: End, goal: Goal, level: bool, open_: bool) -> Way | None:
        sizes = {a.size, *(end.size for end, _ in goal)}
        low, high = min(sizes), max(sizes)
        kit = {s: self._kit(s) for s in sizes}
        start = (a, not open_)
        best: dict[tuple[End, bool], int] = {start: 0}
        serial = 0  # keeps equal costs in the order they were found: the same answer every time
        queue: list[tuple[int, int, End, bool, tuple[Piece, ...], tuple[Mate, ...]]] = [(0, 0, a, not open_, (), ())]
        answer: Way | None = None
        while queue:
            cost, _, end, opened, pieces, mates = heapq.heappop(queue)
            if answer is not None and cost >= answer.cost:
                return answer
            if cost > best.get((end, opened), cost):
                continue
            for target, extra in goal:
                joint = mate(end, target, kit.get(end.size) or self._kit(end.size))
                if joint is None or not (opened or joint.breaks):
                    continue
                total = cost + joint.cost + extra
                if answer is None or total < answer.cost:
                    answer = Way(pieces, (*mates, joint), target, total)
            if len(pieces) >= MOST_PIECES:
                continue
            for piece in self.book.at(end.size, level):
                if not low <= piece.far.size <= high:
                    continue
                if piece.is_pipe and pieces and pieces[-1].is_pipe:
                    continue
                joint = mate(end, piece.near, self._kit(end.size))
                if joint is None or (joint.kind == "same piece" and piece.near.form == piece.far.form):
                    continue  # more of the same pipe; its other end made ready for something else is worth a step
                total = cost + joint.cost + piece.cost
                after = (piece.far, opened or joint.breaks or piece.breaks)
                if total < best.get(after, total + 1):
                    best[after] = total
                    serial += 1
                    heapq.heappush(queue, (total, serial, *after, (*pieces, piece), (*mates, joint)))
        return answer

    def _kit(self, at: Size) -> bool:
        """Whether the spec keeps copper and steel flanges apart with an insulating kit at this size."""
        return (self.spec.dissimilar_small if at <= size("2") else self.spec.dissimilar_large) == "flange kit"


def pipe_ends(row: SpecRow, at: Size) -> list[tuple[End, int]]:
    """The ends that a run of pipe can be given: its row's own at no cost, others at the price of preparing them."""
    own = PIPE_FORM[row.joined]
    if own == "tube":
        return [(End("tube", at, row.metal), 0)]
    forms = dict.fromkeys((own, "pipe", "male thread"))
    return [(End(form, at, row.metal), 0 if form == own else _PREPARE) for form in forms]


def needs_opening(end: End) -> bool:
    """Whether a coil connection of this form needs a joint put in to be undone; a flanged one brings its own."""
    return end.form not in ("flange", "lug", "wafer", "groove")
