"""Column generation for the cutting problem, with HiGHS: a bound that holds, and patterns to choose whole lengths from.

After P. C. Gilmore and R. E. Gomory, A Linear Programming Approach to the Cutting-Stock Problem, Operations Research 9
(1961) and 11 (1963): the linear program over the patterns known so far prices the pieces; a knapsack, solved exactly,
finds the pattern worth most at these prices. The bound of each round is that of A. A. Farley, Operations Research 38
(1990): the prices, scaled down until no pattern is worth more than its length, are a solution of the dual. Works with
counts of rounds and nodes, never with a clock, and in one thread, so that the same pieces give the same plan.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import highspy
import numpy as np

from .nesting_problem import Bins, Contents, Problem, all_patterns, first_fit, gathered, trimmed_to_demand

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

#: What may be spent: steps of the knapsack's tables (pieces x room) and of the simplex (iterations x rows and columns,
#: some steps each), two thirds of it for the bound and one for plans; nodes of branch and bound; and entries
#: (patterns x classes) above which that is not tried. Some seconds in all.
_STEPS = 2_700_000_000
_STEPS_OF_SIMPLEX = 9
_ROUNDS = 1000
_NODES = 30
_ENTRIES = 100_000
#: So many patterns are all put in.
_FEW = 1500
_EPS = 1e-7
#: Patterns that one knapsack gives for each kind of length.
_AT_ONCE = 20


def improve(problem: Problem, start: Bins, bound: int) -> tuple[Bins, int]:
    """A plan at least as good as `start`, and a length that no plan leaving as few pieces over can be below.

    `bound` is such a length, known before.
    """
    return _Search(problem, start, bound).run()


class _Search:
    """The best plan so far, the best bound so far, and the linear program that brings them together."""

    def __init__(self, problem: Problem, start: Bins, bound: int) -> None:
        self.problem = problem
        self.best = start
        self.known = bound
        self.bound = 0.0
        self.step = math.gcd(*(problem.costs[kind] for kind in problem.bought)) if problem.bought else 1
        self.master = _Master(problem)
        self.steps_left = 2 * _STEPS // 3
        for kind, contents in start:
            self.master.add(kind, contents)

    def run(self) -> tuple[Bins, int]:
        """See `improve`."""
        self._generate(list(self.problem.demand), {}, _ROUNDS)
        self.steps_left += _STEPS // 3
        if not self._proven():
            self._dive()
        if not self._proven():
            self._branch()
        return self.best, self.least()

    def _branch(self) -> None:
        """Whole numbers of the patterns known; of all there are, where they are few: then the answer is the least."""
        every = all_patterns(self.problem, _FEW)
        for kind, contents in every or ():
            self.master.add(kind, contents)
        if every is None and len(self.master.patterns) * len(self.problem.demand) > _ENTRIES:
            return
        bins, is_least = self.master.in_whole_numbers(self.best, exact=every is not None)
        self._keep(bins)
        if is_least:
            self.known = max(self.known, self.problem.bill(self.best))

    def _generate(self, demand: list[int], fixed: Bins, rounds: int) -> None:
        """Add patterns until the linear program has its best ones, for what `fixed` leaves of the demand.

        The prices that are tried lie between those of the program and those that gave the best bound (A. Wentges,
        International Transactions in Operational Research 4 (1997)): that saves most of the rounds.
        """
        problem, master = self.problem, self.master
        had = problem.left_on_hand(fixed)
        master.ask_for(demand, had)
        centre: Vector = np.array(problem.takes, dtype=np.float64) / max(problem.rooms)
        best, weight = -math.inf, 0.7
        for _ in range(rounds):
            reached, prices = master.solve()
            tried = weight * centre + (1 - weight) * prices
            knapsack = _Knapsack(problem, tried, demand)
            self.steps_left -= knapsack.steps + master.steps
            bound = self._farley(tried, knapsack, demand, had)
            if bound > best:
                best, centre = bound, tried
            if not fixed:
                self.bound = max(self.bound, bound)
            enough = self._rounded_up(reached) <= self._rounded_up(best)
            if self._proven() or enough or self.steps_left < 0:
                return
            found = ((kind, contents) for kind in range(len(problem.rooms)) for contents in knapsack.best(kind))
            if sum(master.add(kind, contents) for kind, contents in found):
                weight = max(weight, 0.7)
            elif weight:
                weight = 0.5 * weight if weight > 0.2 else 0.0  # known patterns only: nearer to the program's prices
            else:
                return

    def _farley(self, prices: Vector, knapsack: _Knapsack, demand: list[int], had: list[int]) -> float:
        """Scaled by the least of cost to worth; what is on hand, free, is worth what it can hold."""
        problem, master = self.problem, self.master
        worth = [float(knapsack.value[room]) for room in problem.rooms]
        ratios = [problem.costs[k] / master.unit / worth[k] for k in problem.bought if worth[k] > _EPS]
        ratios += [master.leave / master.unit / float(prices[n]) for n in master.left_over if prices[n] > _EPS]
        scale = min(ratios, default=1.0)
        needed = float(np.dot(prices, np.array(demand, dtype=np.float64)))
        return scale * (needed - sum(had[kind] * worth[kind] for kind in problem.on_hand))

    def _rounded_up(self, cost: float) -> int:
        """The least length that can be bought at a cost or more, with as many pieces left over as `best` has."""
        length = cost * self.master.unit - self.problem.score(self.best)[0] * self.master.leave
        return max(0, self.step * math.ceil(length / self.step - 1e-6))

    def least(self) -> int:
        """The bound in whole numbers."""
        return max(self.known, self._rounded_up(self.bound))

    def _proven(self) -> bool:
        return self.problem.bill(self.best) <= self.least()

    def _keep(self, bins: Bins) -> None:
        bins = trimmed_to_demand(self.problem, bins)
        if self.problem.score(bins) < self.problem.score(self.best):
            self.best = bins

    def _dive(self) -> None:
        """Fix what the program uses in whole numbers, then its largest shares; price anew for the rest; again."""
        problem, master = self.problem, self.master
        fixed: Bins = {}
        while True:
            demand = [max(0, count) for count in problem.missing(fixed)]
            if fixed:
                self._generate(demand, fixed, 20)
            if not any(demand) or self.steps_left < 0:
                return
            master.solve()
            self.steps_left -= master.steps
            shares = master.amounts()
            chosen = {key: int(share + _EPS) for key, share in shares if share > 1 - _EPS}
            rest = sorted(((-(share % 1), key) for key, share in shares if _EPS < share % 1 < 1 - _EPS), key=_first)
            room_for = max(1, int(sum(-share for share, _ in rest) / 12)) if not chosen else 0
            taken = gathered([*fixed.items(), *chosen.items()])
            for share, key in rest:
                if room_for <= 0 and share > -0.9:
                    break
                missing = problem.missing(taken)
                limit = problem.left_on_hand(taken)[key[0]] if problem.available[key[0]] is not None else 1
                if limit > 0 and all(missing[number] >= count for number, count in key[1]):
                    taken = gathered([*taken.items(), (key, 1)])
                    room_for -= 1
            if taken == fixed:
                return
            fixed = taken
            self._keep(first_fit(problem, trimmed_to_demand(problem, fixed)))
            if self._proven():
                return


def _first(pair: tuple[float, tuple[int, Contents]]) -> tuple[float, tuple[int, Contents]]:
    return pair


class _Master:
    """The linear program over the patterns known so far.

    Rows: one a class of pieces (at least the demand), then one a kind on hand (at most what is there). Costs are in
    longest lengths. Pieces that no bought length holds may be left over, at a price above all that a length on hand
    can save.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.unit = max(1, *problem.costs)
        self.leave = 2 * (max(problem.rooms) + self.unit)
        self.limited = problem.on_hand
        self.patterns: dict[tuple[int, Contents], None] = {}
        self.left_over = [n for n, takes in enumerate(problem.takes) if problem.holder(takes) is None]
        self.steps = 0  # spent on the last solution
        self.lp = _quiet_solver()
        for _ in range(len(problem.demand) + len(self.limited)):
            self.lp.addRow(0.0, 0.0, 0, _NO_INDEX, _NO_VALUE)
        for number in self.left_over:
            self._put(self.leave / self.unit, {number: 1.0})
        for number, takes in enumerate(problem.takes):
            kind = problem.holder(takes)
            if kind is not None:
                self.add(kind, ((number, min(problem.demand[number], problem.rooms[kind] // takes)),))

    def add(self, kind: int, contents: Contents) -> bool:
        """A further pattern; False if it is known."""
        if (kind, contents) in self.patterns:
            return False
        self.patterns[kind, contents] = None
        column = {number: float(count) for number, count in contents}
        if kind in self.limited:
            column[len(self.problem.demand) + self.limited.index(kind)] = 1.0
        self._put(self.problem.costs[kind] / self.unit, column)
        return True

    def _put(self, cost: float, column: dict[int, float]) -> None:
        index = np.fromiter(column, dtype=np.int32, count=len(column))
        value = np.fromiter(column.values(), dtype=np.float64, count=len(column))
        self.lp.addCol(cost, 0.0, highspy.kHighsInf, len(column), index, value)

    def ask_for(self, demand: list[int], had: list[int]) -> None:
        """Set what is to be cut and what of each kind is on hand."""
        for row, count in enumerate(demand):
            self.lp.changeRowBounds(row, float(count), highspy.kHighsInf)
        for place, kind in enumerate(self.limited):
            self.lp.changeRowBounds(len(demand) + place, -highspy.kHighsInf, float(had[kind]))

    def solve(self) -> tuple[float, Vector]:
        """The cost reached with the patterns known, and the prices of the classes."""
        self.lp.run()
        size = len(self.problem.demand) + len(self.patterns)
        self.steps = self.lp.getInfo().simplex_iteration_count * size * _STEPS_OF_SIMPLEX
        prices = np.array(self.lp.getSolution().row_dual[: len(self.problem.demand)])
        return float(self.lp.getInfo().objective_function_value), np.maximum(0.0, prices)

    def amounts(self) -> list[tuple[tuple[int, Contents], float]]:
        """How often each pattern is used in the last solution."""
        values = self.lp.getSolution().col_value[len(self.left_over) :]
        return [(key, float(value)) for key, value in zip(self.patterns, values, strict=True) if value > _EPS]

    def in_whole_numbers(self, start: Bins, *, exact: bool) -> tuple[Bins, bool]:
        """The best plan found from the patterns known by branch and bound, or `start`; whether none is better.

        `exact`: all patterns are known, so that it is worth going on to the end.
        """
        for kind, contents in start:
            self.add(kind, contents)
        solver, problem = self.lp, self.problem
        self.ask_for(list(problem.demand), problem.left_on_hand({}))
        step = (math.gcd(*(problem.costs[kind] for kind in problem.bought)) if problem.bought else 1) / self.unit
        tie = 0.1 * step / (1 + sum(problem.demand))  # fewer lengths, where as much is bought
        columns = np.arange(len(self.left_over) + len(self.patterns), dtype=np.int32)
        costs = np.array([problem.costs[kind] / self.unit + tie for kind, _ in self.patterns])
        solver.changeColsCost(len(costs), columns[len(self.left_over) :], costs)
        solver.changeColsIntegrality(len(columns), columns, np.full(len(columns), highspy.HighsVarType.kInteger))
        solver.setOptionValue("mip_max_nodes", 100 * _NODES if exact else _NODES)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.5 * tie if exact else 0.85 * step)
        solver.run()
        amounts = solver.getSolution().col_value[len(self.left_over) :]
        if len(amounts) != len(self.patterns):
            return start, False  # none found within the count of nodes
        found = {key: round(value) for key, value in zip(self.patterns, amounts, strict=True) if value > 0.5}
        return found, exact and self._is_sound(solver)

    def _is_sound(self, solver: Any) -> bool:
        """Whether the solver calls its answer the least, and the cost it names is that of its answer.

        (HiGHS 1.16 has named a cost below that of its answer where it was given an answer to start from; it is given
        none here.)
        """
        cost = float(np.dot(solver.getLp().col_cost_, solver.getSolution().col_value))
        named = float(solver.getInfo().objective_function_value)
        if abs(cost - named) > _EPS * (1 + cost):
            return False
        return bool(solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)


class _Knapsack:
    """For every room at once: what is worth most at the prices of the pieces, no class beyond its demand. Exact.

    Dynamic programming over the room in whole numbers; the copies of a class go in as 1, 2, 4 … of them at once.
    """

    def __init__(self, problem: Problem, prices: Vector, demand: list[int]) -> None:
        self.problem, self.prices, self.demand = problem, prices, demand
        most = max(problem.rooms)
        self.rows: list[tuple[int, int, int]] = []
        for number, takes in enumerate(problem.takes):
            copies, batch = min(demand[number], most // takes), 1
            while prices[number] > _EPS and copies > 0:
                batch = min(batch, copies)
                self.rows.append((number, batch, takes * batch))
                copies, batch = copies - batch, 2 * batch
        self.steps = len(self.rows) * (most + 1)
        self.value: Vector = np.zeros(most + 1)
        self.taken: NDArray[np.bool_] = np.empty((len(self.rows), most + 1), dtype=np.bool_)
        with_it: Vector = np.empty(most + 1)
        for row, (number, batch, load) in enumerate(self.rows):
            old, new = self.value[load:], with_it[load:]
            np.add(self.value[:-load], float(prices[number]) * batch, out=new)
            np.greater(new, old, out=self.taken[row, load:])
            np.maximum(new, old, out=old)

    def contents(self, room: int) -> Contents:
        """What is worth most in a room."""
        counts: dict[int, int] = {}
        for (number, batch, load), taken in zip(reversed(self.rows), self.taken[::-1, :], strict=True):
            if load <= room and taken[room]:
                counts[number] = counts.get(number, 0) + batch
                room -= load
        return tuple(sorted(counts.items()))

    def best(self, kind: int) -> list[Contents]:
        """What is worth most in a kind of length; and the best with one of a class that is in none before it."""
        problem, room = self.problem, self.problem.rooms[kind]
        first = self.contents(room)
        found, covered = [first], {number for number, _ in first}
        worth = sorted(
            (
                (-float(self.value[room - takes] + self.prices[number]), number)
                for number, takes in enumerate(problem.takes)
                if takes <= room and self.demand[number] and self.prices[number] > _EPS
            ),
        )
        for _, number in worth:
            if len(found) == _AT_ONCE:
                break
            if number in covered:
                continue
            counts = dict(self.contents(room - problem.takes[number]))
            counts[number] = counts.get(number, 0) + 1
            if counts[number] <= self.demand[number]:
                found.append(tuple(sorted(counts.items())))
                covered |= set(counts)
        return [contents for contents in found if contents]


_NO_INDEX = np.array([], dtype=np.int32)
_NO_VALUE = np.array([], dtype=np.float64)


class _Quiet(highspy.Highs):
    """HiGHS without a word on standard output: its first lines come while it is made, as it takes its callbacks on."""

    def enableCallbacks(self) -> None:
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def _quiet_solver() -> Any:
    solver: Any = _Quiet()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("parallel", "off")
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    return solver
