"""Cutting plans: what always holds, brute force on small ones, and by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import pytest
from coilwright.takeoff import nesting
from coilwright.takeoff.nesting import Piece, Plan, Stock, nest
from hypothesis import given, settings
from hypothesis import strategies as st

F = Fraction


def pieces_of(counts: dict[Fraction, int]) -> list[Piece]:
    return [Piece(f"P{number}", length, count) for number, (length, count) in enumerate(counts.items(), 1)]


def hold(plan: Plan, pieces: list[Piece], stock: list[Stock], kerf: Fraction) -> None:
    """Every piece is cut exactly once or named apart; nothing is over-filled; what is on hand is there."""
    asked = Counter({(p.mark, p.length): p.count for p in pieces})
    got: Counter[tuple[str, Fraction]] = Counter()
    used: Counter[Stock] = Counter()
    for cutting in plan.cuttings:
        used[cutting.stock] += cutting.times
        by_length: Counter[Fraction] = Counter()
        for mark, length, count in cutting.marks:
            got[mark, length] += count
            by_length[length] += count
        assert by_length == {length: count * cutting.times for length, count in cutting.cuts}
        total = sum(length * count for length, count in cutting.cuts)
        cuts = sum(count for _, count in cutting.cuts)
        assert total + cutting.kerf + cutting.remnant == cutting.stock.length
        assert cutting.remnant >= 0
        assert cutting.kerf == kerf * cuts if cutting.remnant else kerf * (cuts - 1) <= cutting.kerf <= kerf * cuts
    for piece in (*plan.too_long, *plan.left_over):
        got[piece.mark, piece.length] += piece.count
    assert +got == +asked
    for kind, times in used.items():
        assert kind in stock
        assert kind.on_hand is None or times <= kind.on_hand
    on_hand = sum(c.stock.length * c.times for c in plan.cuttings if c.stock.on_hand is not None)
    cut = sum(length * count * c.times for c in plan.cuttings for length, count in c.cuts)
    assert plan.bought + on_hand >= cut + sum(c.kerf * c.times for c in plan.cuttings)
    assert plan.bound <= plan.bought


lengths = st.integers(1, 400).map(lambda n: F(n, 16))
piece_counts = st.dictionaries(lengths, st.integers(1, 9), min_size=1, max_size=12)
kerfs = st.sampled_from([F(0), F(1, 8), F(3, 32), F(15, 127)])
on_hand = st.lists(st.builds(Stock, st.integers(20, 500).map(lambda n: F(n, 16)), st.integers(1, 3)), max_size=3)
bought = st.lists(st.builds(Stock, st.sampled_from([F(20), F(24), F(77, 3), F(12)])), max_size=3)


@given(piece_counts, bought, on_hand, kerfs)
@settings(max_examples=60, deadline=None)
def test_what_always_holds(counts: dict[Fraction, int], buy: list[Stock], there: list[Stock], kerf: Fraction) -> None:
    pieces, stock = pieces_of(counts), [*there, *buy]
    plan = nest(pieces, list(dict.fromkeys(stock)), kerf)
    hold(plan, pieces, stock, kerf)
    if buy:
        assert not plan.left_over or all(p.length > max(s.length for s in buy) for p in plan.left_over)


def least_bought(pieces: list[int], kinds: list[tuple[int, int | None]], saw: int) -> int:
    """By trying all: pieces and lengths in whole numbers; every piece fits a bought length."""
    order = sorted(pieces, reverse=True)
    start = tuple(sorted(length + saw for length, count in kinds for _ in range(count or 0)))
    opened = [length for length, count in kinds if count is None]

    @cache
    def best(at: int, rooms: tuple[int, ...]) -> int:
        if at == len(order):
            return 0
        need = order[at] + saw

        def ways() -> Iterator[int]:
            for number in {rooms.index(room) for room in rooms if room >= need}:
                left = (*rooms[:number], rooms[number] - need, *rooms[number + 1 :])
                yield best(at + 1, tuple(sorted(left)))
            for length in opened:
                if length + saw >= need:
                    yield length + best(at + 1, tuple(sorted((*rooms, length + saw - need))))

        return min(ways())

    return best(0, start)


@given(
    st.lists(st.integers(3, 20), min_size=1, max_size=8),
    st.lists(st.sampled_from([20, 22, 27]), min_size=1, max_size=2, unique=True),
    st.lists(st.tuples(st.integers(5, 30), st.integers(1, 2)), max_size=2, unique_by=lambda pair: pair[0]),
    st.sampled_from([0, 1]),
)
@settings(max_examples=150, deadline=None)
def test_against_trying_all(pieces: list[int], buy: list[int], there: list[tuple[int, int]], saw: int) -> None:
    kinds: list[tuple[int, int | None]] = [*((length, None) for length in buy), *there]
    stock = [Stock(F(length), count) for length, count in kinds]
    plan = nest([Piece(str(n), F(length), 1) for n, length in enumerate(pieces)], stock, F(saw))
    least = least_bought(pieces, kinds, saw)
    assert plan.bound <= least <= plan.bought
    assert plan.bought == least


def test_the_last_piece_of_an_even_length_needs_no_cut() -> None:
    plan = nest([Piece("A", F(10), 2)], [Stock(F(81, 4))], F(1, 4))  # 10 + 1/4 + 10 = 20-1/4
    (cutting,) = plan.cuttings
    assert (cutting.times, cutting.kerf, cutting.remnant) == (1, F(1, 4), 0)
    plan = nest([Piece("A", F(10), 2)], [Stock(F(81, 4) - F(1, 64))], F(1, 4))
    assert [(c.times, c.cuts) for c in plan.cuttings] == [(2, ((F(10), 1),))]


def test_a_remnant_narrower_than_the_saw_is_sawn_away() -> None:
    (cutting,) = nest([Piece("A", F(10), 1)], [Stock(F(81, 8))], F(1, 4)).cuttings
    assert (cutting.kerf, cutting.remnant) == (F(1, 8), 0)


def test_what_is_on_hand_goes_first_and_the_rest_is_bought() -> None:
    plan = nest([Piece("A", F(80), 4)], [Stock(F(252)), Stock(F(86), 3)], F(1, 8))
    assert [(c.stock, c.times) for c in plan.cuttings] == [(Stock(F(86), 3), 3), (Stock(F(252)), 1)]
    assert plan.optimal


def test_a_piece_that_only_a_length_on_hand_holds_gets_it() -> None:
    pieces = [Piece("long", F(300), 1), Piece("short", F(100), 3)]
    plan = nest(pieces, [Stock(F(252)), Stock(F(310), 1)])
    assert [(c.stock.length, c.cuts) for c in plan.cuttings] == [
        (F(310), ((F(300), 1),)), (F(252), ((F(100), 2),)), (F(252), ((F(100), 1),)),
    ]  # fmt: skip
    assert plan.bought == plan.bound == 504


def test_too_long_and_left_over_are_named() -> None:
    pieces = [Piece("A", F(300), 2), Piece("B", F(80), 3)]
    plan = nest(pieces, [Stock(F(100), 2)])
    assert plan.too_long == (Piece("A", F(300), 2),)
    assert plan.left_over == (Piece("B", F(80), 1),)
    assert plan.bought == 0


def test_equal_marks_and_lengths_are_drawn_in_order() -> None:
    plan = nest([Piece("A", F(50), 3), Piece("B", F(50), 3)], [Stock(F(100))])
    (cutting,) = plan.cuttings
    assert cutting.times == 3
    assert cutting.marks == (("A", F(50), 3), ("B", F(50), 3))


def test_no_pieces_and_no_lengths() -> None:
    assert nest([], [Stock(F(252))]).cuttings == ()
    assert nest([Piece("A", F(1), 1)], []).too_long == (Piece("A", F(1), 1),)


def many() -> list[Piece]:
    """60 lengths in turn by no rule that suits 252 in, 900 pieces."""
    return [Piece(f"P{n}", F(300 + n * n * 37 % 1500, 16), 15) for n in range(60)]


def test_the_same_pieces_give_the_same_plan() -> None:
    plans = []
    for _ in range(2):
        nesting._nest.cache_clear()
        plans.append(nest(many(), [Stock(F(252)), Stock(F(120))], F(1, 8)))
    assert plans[0] == plans[1]


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    nesting._nest.cache_clear()
    pieces = pieces_of({F(14): 211, F(31): 395, F(36): 610, F(45): 97})
    plan = nest(pieces, [Stock(F(100))])
    assert plan.proven_by == "linear programming"
    assert capfd.readouterr() == ("", "")


def test_without_a_solver_first_fit_stands_with_its_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    stock = [Stock(F(252))]
    nesting._nest.cache_clear()
    solved = nest(many(), stock, F(1, 8))
    nesting._nest.cache_clear()
    monkeypatch.setattr(nesting, "_improved", lambda *_: None)
    plain = nest(many(), stock, F(1, 8))
    nesting._nest.cache_clear()
    hold(plain, many(), stock, F(1, 8))
    assert plain.bound <= solved.bound <= solved.bought <= plain.bought
    assert plain.proven_by == "the sum of the pieces"
