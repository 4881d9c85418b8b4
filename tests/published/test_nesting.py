"""Cutting plans against published one-dimensional instances whose least number of lengths is known."""

from fractions import Fraction

import pytest
from coilwright.takeoff.nesting import Piece, Stock, nest

#: E. Falkenauer's u120_00 (Journal of Heuristics 2 (1996)), of the OR-Library (J. E. Beasley, file binpack1.txt), 120
#: pieces from lengths of 150; two copies compared, that of BPPLIB (M. Delorme, M. Iori, S. Martello, 2018) by sizes.
#: The least number of lengths, 48, is that of both.
U120_00 = """
42 69 67 57 93 90 38 36 45 42 33 79 27 57 44 84 86 92 46 38 85 33 82 73 49 70 59 23 57 72 74 69 33 42 28 46 30 64 29 74
41 49 55 98 80 32 25 38 82 30 35 39 57 84 62 50 55 27 30 36 20 78 47 26 45 41 58 98 91 96 73 84 37 93 91 43 73 85 81 79
71 80 76 83 41 78 70 23 42 87 43 84 60 55 49 78 73 62 36 44 94 69 32 96 70 84 58 78 25 80 58 66 83 24 98 60 42 43 43 39
"""
#: The example of the encyclopedia article "Cutting stock problem" (Wikipedia): paper 5600 mm wide, 219 rolls.
PAPER_5600 = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12, 2100: 14, 2140: 16,
    2150: 18, 2200: 20,
}  # fmt: skip
#: V. Chvátal, Linear Programming (1983), chapter 13; sizes as NEOS prints them, the answer from memory.
CHVATAL = {14: 211, 31: 395, 36: 610, 45: 97}
#: R. Fourer, D. M. Gay, B. W. Kernighan, AMPL (2nd edition 2003), chapter 15; the answer from memory.
ROLLS_110 = {20: 48, 45: 35, 50: 24, 55: 10, 75: 8}

INSTANCES = {
    "u120_00": ({int(size): U120_00.split().count(size) for size in U120_00.split()}, 150, 48),
    "paper 5600 mm": (PAPER_5600, 5600, 73),
    "Chvátal": (CHVATAL, 100, 453),
    "rolls of 110 in": (ROLLS_110, 110, 47),
}


@pytest.mark.parametrize("name", INSTANCES)
def test_least_number_of_lengths(name: str) -> None:
    sizes, length, least = INSTANCES[name]
    plan = nest([Piece(str(size), Fraction(size), count) for size, count in sizes.items()], [Stock(Fraction(length))])
    assert sum(cutting.times for cutting in plan.cuttings) == least
    assert plan.bound == plan.bought == least * length
    assert plan.optimal


def test_the_instances_are_whole() -> None:
    assert len(U120_00.split()) == 120
    assert sum(size * count for size, count in PAPER_5600.items()) == 407160  # as the article prints it
