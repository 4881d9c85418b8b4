"""One-dimensional cutting: which pieces are sawn from which lengths. Lengths are exact, in inches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from .nesting_problem import Bins, Problem, first_fit, fullest

#: Inside, lengths are whole 1/64 in: pieces and kerf rounded up, stock lengths down, so that nothing is over-filled.
_FINE = 64


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece to cut, and how many of it."""

    mark: str
    length: Fraction
    count: int


@dataclass(frozen=True, slots=True)
class Stock:
    """A length to cut from. `on_hand`: how many are there, free; None: to be bought, as many as it takes."""

    length: Fraction
    on_hand: int | None = None


@dataclass(frozen=True, slots=True)
class Cutting:
    """Stock lengths that are cut alike.

    `cuts` are the pieces of one of the lengths: (length, how many). `marks` say which pieces come from all of them
    together: (mark, length, how many). `kerf` and `remnant` are of one length, in inches.
    """

    stock: Stock
    times: int
    cuts: tuple[tuple[Fraction, int], ...]
    marks: tuple[tuple[str, Fraction, int], ...]
    kerf: Fraction
    remnant: Fraction


@dataclass(frozen=True, slots=True)
class Plan:
    """How everything is cut. `too_long` fits no length at all; `left_over` found no room where nothing is bought.

    `bound`: no plan that leaves as few pieces over buys less than this, in inches. `proven_by` says what it rests on.
    """

    cuttings: tuple[Cutting, ...]
    too_long: tuple[Piece, ...]
    left_over: tuple[Piece, ...]
    bound: Fraction
    proven_by: str

    @property
    def bought(self) -> Fraction:
        """The total length to buy."""
        return sum((c.stock.length * c.times for c in self.cuttings if c.stock.on_hand is None), Fraction(0))

    @property
    def optimal(self) -> bool:
        """Whether it is proven that nothing less can be bought."""
        return self.bought <= self.bound


def nest(pieces: Sequence[Piece], stock: Sequence[Stock], kerf: Fraction = Fraction(0)) -> Plan:
    """Cut pieces from stock: what is on hand first, then the least length bought, then the fewest lengths.

    Every cut loses a kerf; the last piece of a length that comes out even needs none. Lengths above 0, kerf from 0.
    Uses HiGHS where it is installed and first-fit decreasing is not already the best; the same input gives the same
    plan.
    """
    return _nest(tuple(pieces), tuple(stock), kerf)


@lru_cache(maxsize=256)  # two lists are made of the same plans
def _nest(pieces: tuple[Piece, ...], stock: tuple[Stock, ...], kerf: Fraction) -> Plan:
    longest = max((s.length for s in stock if s.on_hand != 0), default=Fraction(0))
    too_long = tuple(piece for piece in pieces if piece.length > longest)
    fitting = [piece for piece in pieces if piece.length <= longest and piece.count > 0]
    lengths = sorted({piece.length for piece in fitting}, reverse=True)
    if not lengths:
        return Plan((), too_long, (), Fraction(0), "nothing to cut")
    kinds = list(dict.fromkeys(s for s in stock if s.on_hand != 0 and s.length >= lengths[-1]))
    problem = _problem(lengths, fitting, kinds, kerf)
    bins = first_fit(problem)
    bound, proven_by = _material_bound(problem), "the sum of the pieces"
    if problem.bill(bins) > bound or problem.score(bins)[0]:
        bins = min(bins, fullest(problem), key=problem.score)
    if problem.bill(bins) > bound or problem.score(bins)[0]:
        improved = _improved(problem, bins, bound)
        if improved is not None:
            bins, better = improved
            if better > bound:
                bound, proven_by = better, "linear programming"
    return _plan(problem, bins, lengths, fitting, kinds, kerf, too_long, bound, proven_by)


def _problem(lengths: list[Fraction], pieces: list[Piece], kinds: list[Stock], kerf: Fraction) -> Problem:
    """In whole numbers, as small as they can be without changing what fits."""
    saw = math.ceil(kerf * _FINE)
    takes = [math.ceil(length * _FINE) + saw for length in lengths]
    divisor = math.gcd(*takes)
    demand = dict.fromkeys(lengths, 0)
    for piece in pieces:
        demand[piece.length] += piece.count
    return Problem(
        tuple(number // divisor for number in takes),
        tuple(demand.values()),
        tuple((math.floor(kind.length * _FINE) + saw) // divisor for kind in kinds),
        tuple(math.floor(kind.length * _FINE) if kind.on_hand is None else 0 for kind in kinds),
        tuple(kind.on_hand for kind in kinds),
    )


def _material_bound(problem: Problem) -> int:
    """What must be bought at least: the room that the pieces take beyond what is on hand."""
    if not problem.bought or any(problem.holder(takes) is None for takes in problem.takes):
        return 0  # pieces may be left over: their room need not be there
    needed = sum(takes * count for takes, count in zip(problem.takes, problem.demand, strict=True))
    needed -= sum(problem.rooms[kind] * (problem.available[kind] or 0) for kind in problem.on_hand)
    if needed <= 0:
        return 0
    least = min(Fraction(problem.costs[kind], problem.rooms[kind]) for kind in problem.bought)
    step = math.gcd(*(problem.costs[kind] for kind in problem.bought))
    return step * math.ceil(needed * least / step)


def _improved(problem: Problem, bins: Bins, bound: int) -> tuple[Bins, int] | None:
    try:
        from .nesting_columns import improve
    except ImportError:  # an installation without HiGHS: first fit stands, with the bound that needs no solver
        return None
    return improve(problem, bins, bound)


def _plan(
    problem: Problem,
    bins: Bins,
    lengths: list[Fraction],
    pieces: Sequence[Piece],
    kinds: list[Stock],
    kerf: Fraction,
    too_long: tuple[Piece, ...],
    bound: int,
    proven_by: str,
) -> Plan:
    waiting: dict[Fraction, list[tuple[str, int]]] = {length: [] for length in lengths}
    for piece in reversed(pieces):
        waiting[piece.length].append((piece.mark, piece.count))

    def draw(length: Fraction, count: int) -> list[tuple[str, Fraction, int]]:
        drawn = []
        while count:
            mark, there = waiting[length].pop()
            if there > count:
                waiting[length].append((mark, there - count))
            drawn.append((mark, length, min(there, count)))
            count -= min(there, count)
        return drawn

    cuttings = []
    for (kind, contents), times in sorted(bins.items(), key=lambda entry: _place(problem, kinds, entry[0])):
        cuts = tuple((lengths[number], count) for number, count in contents)
        marks = tuple(mark for length, count in cuts for mark in draw(length, count * times))
        rest = kinds[kind].length - sum((length * count for length, count in cuts), Fraction(0))
        sawn = min(rest, kerf * sum(count for _, count in cuts))
        cuttings.append(Cutting(kinds[kind], times, cuts, marks, sawn, rest - sawn))
    left_over = tuple(
        Piece(mark, length, count) for length, marks_left in waiting.items() for mark, count in reversed(marks_left)
    )
    return Plan(tuple(cuttings), too_long, left_over, Fraction(bound, _FINE), proven_by)


def _place(problem: Problem, kinds: list[Stock], key: tuple[int, tuple[tuple[int, int], ...]]) -> tuple[object, ...]:
    """What is on hand first, then the longest lengths, then the longest pieces."""
    kind, contents = key
    return kinds[kind].on_hand is None, -kinds[kind].length, tuple((n, -count) for n, count in contents)
