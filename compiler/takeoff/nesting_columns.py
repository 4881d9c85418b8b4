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

from .nesting_problem import Bins, Contents, Problem, first_fit, gathered, trimmed_to_demand

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

#: What may be spent: steps of the knapsack's table (pieces x room) over all rounds, rounds, nodes of branch and bound,
#: and entries (patterns x classes) above which branch and bound is not tried. Some seconds in all at the most.
_STEPS = 1_200_000_000
_ROUNDS = 1000
_NODES = 100
_ENTRIES = 100_000
_EPS = 1e-7


def improve(problem: Problem, start: Bins) -> tuple[Bins, int]:
    """A plan at least as good as `start`, and a length that no plan leaving as few pieces over can be below."""
    return _Search(problem, start).run()


class _Search:
    """The best plan so far, the best bound so far, and the linear program that brings them together."""

    def __init__(self, problem: Problem, start: Bins) -> None:
        self.problem = problem
        self.best = start
        self.bound = 0.0
        self.step = math.gcd(*(problem.costs[kind] for kind in problem.bought)) if problem.bought else 1
        self.master = _Master(problem)
        self.steps_left = _STEPS
        for kind, contents in start:
            self.master.add(kind, contents)

    def run(self) -> tuple[Bins, int]:
        """See `improve`."""
        self._generate(list(self.problem.demand), {}, _ROUNDS)
        if not self._proven():
            self._dive()
        if not self._proven() and len(self.master.patterns) * len(self.problem.demand) <= _ENTRIES:
            self._keep(self.master.in_whole_numbers(self.best, _NODES, self.least()))
        return self.best, self.least()

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
            self.steps_left -= knapsack.steps
            bound = self._farley(tried, knapsack, demand, had)
            if bound > best:
                best, centre = bound, tried
            if not fixed:
                self.bound = max(self.bound, bound)
            enough = self._rounded_up(reached) <= self._rounded_up(best)
            if self._proven() or enough or self.steps_left < 0:
                return
            found = [(kind, knapsack.contents(room)) for kind, room in enumerate(problem.rooms)]
            if sum(master.add(kind, contents) for kind, contents in found if contents):
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
        return self._rounded_up(self.bound)

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
            if not any(demand):
                return
            _, _ = master.solve()
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
        prices = np.array(self.lp.getSolution().row_dual[: len(self.problem.demand)])
        return float(self.lp.getInfo().objective_function_value), np.maximum(0.0, prices)

    def amounts(self) -> list[tuple[tuple[int, Contents], float]]:
        """How often each pattern is used in the last solution."""
        values = self.lp.getSolution().col_value[len(self.left_over) :]
        return [(key, float(value)) for key, value in zip(self.patterns, values, strict=True) if value > _EPS]

    def in_whole_numbers(self, start: Bins, nodes: int, least: int) -> Bins:
        """The best plan found from the patterns known by branch and bound; `start` if there is none."""
        for kind, contents in start:
            self.add(kind, contents)
        solver, problem = self.lp, self.problem
        self.ask_for(list(problem.demand), problem.left_on_hand({}))
        pieces = 1 + sum(problem.demand)
        step = math.gcd(*(problem.costs[kind] for kind in problem.bought)) if problem.bought else 1
        tie = 0.5 * step / self.unit / pieces  # fewer lengths, where as much is bought
        columns = np.arange(len(self.left_over) + len(self.patterns), dtype=np.int32)
        costs = np.array([problem.costs[kind] / self.unit + tie for kind, _ in self.patterns])
        solver.changeColsCost(len(costs), columns[len(self.left_over) :], costs)
        solver.changeColsIntegrality(len(columns), columns, np.full(len(columns), highspy.HighsVarType.kInteger))
        options = {"mip_max_nodes": nodes, "mip_rel_gap": 0.0, "mip_abs_gap": 0.5 * tie}
        for name, value in {**options, "objective_target": least / self.unit + tie * pieces}.items():
            solver.setOptionValue(name, value)
        begin = highspy.HighsSolution()
        missing = problem.missing(start)
        begin.col_value = [float(max(0, missing[n])) for n in self.left_over]
        begin.col_value += [float(start.get(pattern, 0)) for pattern in self.patterns]
        solver.setSolution(begin)
        solver.run()
        amounts = solver.getSolution().col_value[len(self.left_over) :]
        if len(amounts) != len(self.patterns):
            return start
        return {key: round(value) for key, value in zip(self.patterns, amounts, strict=True) if value > 0.5}


class _Knapsack:
    """For every room at once: what is worth most at the prices of the pieces, no class beyond its demand. Exact.

    Dynamic programming over the room in whole numbers; the copies of a class go in as 1, 2, 4 … of them at once.
    """

    def __init__(self, problem: Problem, prices: Vector, demand: list[int]) -> None:
        most = max(problem.rooms)
        self.value: Vector = np.zeros(most + 1)
        self.rows: list[tuple[int, int, int, NDArray[np.bool_]]] = []
        for number, takes in enumerate(problem.takes):
            price, copies, batch = float(prices[number]), min(demand[number], most // takes), 1
            while price > _EPS and copies > 0:
                batch = min(batch, copies)
                load = takes * batch
                with_it = self.value[:-load] + price * batch
                better = with_it > self.value[load:] + 1e-12
                self.rows.append((number, batch, load, better))
                np.maximum(self.value[load:], with_it, out=self.value[load:])
                copies, batch = copies - batch, 2 * batch
        self.steps = len(self.rows) * (most + 1)

    def contents(self, room: int) -> Contents:
        """What is worth most in a room."""
        counts: dict[int, int] = {}
        for number, batch, load, better in reversed(self.rows):
            if load <= room and better[room - load]:
                counts[number] = counts.get(number, 0) + batch
                room -= load
        return tuple(sorted(counts.items()))


_NO_INDEX = np.array([], dtype=np.int32)
_NO_VALUE = np.array([], dtype=np.float64)


def _quiet_solver() -> Any:
    solver: Any = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("parallel", "off")
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    return solver
