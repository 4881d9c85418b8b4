"""Rounding, and sharing out what was rounded so that the shares add up to it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

HUNDREDTH = Decimal("0.01")
ROUNDING = "Each row is rounded by itself to 0.01, a half up; sums are those of the rounded rows."


def rounded(value: Fraction) -> Decimal:
    """To the hundredth, a half up.

    >>> rounded(Fraction(1, 8)), rounded(Fraction(2, 3))
    (Decimal('0.13'), Decimal('0.67'))
    """
    hundredths = (value * 200 + 1) // 2
    return (Decimal(hundredths) / 100).quantize(HUNDREDTH, ROUND_HALF_UP)


def exact(value: float) -> Fraction:
    """A number of a list as it is printed: 0.1 is a tenth."""
    return Fraction(repr(value))


def shared(amount: Decimal, weights: Sequence[float], step: Decimal = HUNDREDTH) -> list[Decimal]:
    """An amount shared out by weight in whole steps, the steps left over to the largest remainders, the first ones.

    >>> shared(Decimal("1.00"), [1, 1, 1])
    [Decimal('0.34'), Decimal('0.33'), Decimal('0.33')]
    """
    if not weights:
        return []
    steps = int(amount / step)
    whole = sum(Fraction(weight) for weight in weights)
    if not whole:
        return [amount, *(Decimal(0) for _ in weights[1:])]
    shares = [steps * Fraction(weight) / whole for weight in weights]
    given = [int(share) for share in shares]
    order = sorted(range(len(shares)), key=lambda at: (given[at] - shares[at], at))
    for at in order[: steps - sum(given)]:
        given[at] += 1
    return [number * step for number in given]
