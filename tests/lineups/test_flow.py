"""Ways through tangled chains, against all simple ways written out."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace
from typing import cast

import pytest
from coilwright.analysis.flow import Flow, Way
from coilwright.analysis.network import SINK, SOURCE, Chain, Network
from hypothesis import given, settings
from hypothesis import strategies as st

Ends = list[tuple[str, str, int]]  # from, to, and 1, -1 or 0 for the one way that it passes


def flow(ends: Ends, shut: frozenset[int] = frozenset()) -> Flow:
    chains = [Chain(a, b, "", "", [], 1, one_way) for a, b, one_way in ends]
    at: dict[str, list[int]] = {SOURCE: [], SINK: []}
    for number, (a, b, _) in enumerate(ends):
        for node in dict.fromkeys((a, b)):
            at.setdefault(node, []).append(number)
    return Flow(cast(Network, SimpleNamespace(chains=chains, at=at)), shut)


def all_ways(ends: Ends) -> Iterator[Way]:
    """All ways from SOURCE to SINK that meet no junction twice."""
    stack: list[tuple[str, frozenset[str], Way]] = [(SOURCE, frozenset((SOURCE,)), [])]
    while stack:
        at, seen, way = stack.pop()
        if at == SINK:
            yield way
            continue
        for number, (a, b, one_way) in enumerate(ends):
            for start, end, sense in ((a, b, 1), (b, a, -1)):
                if start == at and end not in seen and one_way in (0, sense):
                    stack.append((end, seen | {end}, [*way, (number, sense)]))


junctions = st.sampled_from((SOURCE, SINK, *"ABCDE"))
tangles = st.lists(st.tuples(junctions, junctions, st.sampled_from((0, 0, 0, 1, -1))), max_size=12)


@settings(max_examples=400, deadline=None)
@given(tangles)
def test_a_way_through_a_chain_is_found_if_there_is_one(ends: Ends) -> None:
    ways = list(all_ways(ends))
    found = flow(ends)
    for number in range(len(ends)):
        for sense in (1, -1):
            way = found.through(number, sense)
            if way is None:
                assert not any((number, sense) in one for one in ways), (ends, number, sense)
            else:
                assert (number, sense) in way and way in ways, (ends, number, sense)


@settings(max_examples=400, deadline=None)
@given(tangles)
def test_what_flows_and_which_way_where_nothing_bars_it(ends: Ends) -> None:
    free = [(a, b, 0) for a, b, _ in ends]
    senses: dict[int, set[int]] = {}
    for way in all_ways(free):
        for number, sense in way:
            senses.setdefault(number, set()).add(sense)
    directions = flow(free).directions()
    assert directions.keys() == senses.keys()
    for number, sense in directions.items():
        if sense:
            assert senses[number] == {sense}, (free, number)


def test_the_short_way_in_may_bar_the_only_way_out() -> None:
    """By the short way (X, Y) the chain from A to B cannot get out again; round by U, V and W it can."""
    ends = [
        (SOURCE, "X", 0), ("X", "Y", 0), ("Y", "A", 0), ("A", "B", 0), ("B", "X", 0), ("Y", SINK, 0),
        ("A", "U", 0), ("U", "V", 0), ("V", "W", 0), ("W", SOURCE, 0), ("B", "U", 0),
    ]  # fmt: skip
    way = flow(ends).through(3, 1)
    assert way is not None
    assert [n for n, _ in way] == [9, 8, 7, 6, 3, 4, 1, 5]


def test_it_gives_up_where_nobody_could_tell_rather_than_run_for_ever() -> None:
    """A grid of 12 by 12 junctions, in at a corner; nothing leads out."""
    ends: Ends = [(SOURCE, "0 0", 0)]
    for x in range(12):
        for y in range(12):
            ends += [(f"{x} {y}", f"{x + 1} {y}", 0)] if x < 11 else []
            ends += [(f"{x} {y}", f"{x} {y + 1}", 0)] if y < 11 else []
    ends += [("11 11", "OUT", 0), ("OUT", SINK, -1)]
    with pytest.raises(TimeoutError):
        flow(ends).through(len(ends) - 2, 1)


def test_series_and_parallel_settle_a_direction_and_a_bridge_does_not() -> None:
    bridge = [(SOURCE, "A", 0), (SOURCE, "B", 0), ("A", "B", 0), ("A", SINK, 0), (SINK, "B", 0)]
    assert flow(bridge).directions() == {0: 1, 1: 1, 2: 0, 3: 1, 4: -1}
    assert flow(bridge, frozenset((1,))).directions() == {0: 1, 2: 1, 3: 1, 4: -1}
