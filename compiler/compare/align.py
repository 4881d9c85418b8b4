"""Which of two sequences' members stay in their place."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

#: What two members must share to be the same one.
Token: TypeAlias = tuple[str, ...]
#: Indexes into the old and the new sequence; both rise from pair to pair.
Pairs: TypeAlias = list[tuple[int, int]]


def align(old: Sequence[Token], new: Sequence[Token]) -> Pairs:
    """The members of both sequences that keep their order: as many as can be (a longest common subsequence).

    Where there are several ways, the choice does not depend on which of the two is the old one, so that comparing the
    other way round says the same the other way round.

    >>> align([("a",), ("b",), ("c",)], [("b",), ("x",), ("c",), ("a",)])
    [(1, 0), (2, 2)]
    """
    a, b = list(old), list(new)
    if a > b:
        return [(i, j) for j, i in align(b, a)]
    start = 0
    while start < min(len(a), len(b)) and a[start] == b[start]:
        start += 1
    end = 0
    while end < min(len(a), len(b)) - start and a[-1 - end] == b[-1 - end]:
        end += 1
    middle = _longest(a[start : len(a) - end], b[start : len(b) - end])
    return [
        *((i, i) for i in range(start)),
        *((start + i, start + j) for i, j in middle),
        *((len(a) - i, len(b) - i) for i in range(end, 0, -1)),
    ]


def _longest(a: Sequence[Token], b: Sequence[Token]) -> Pairs:
    """By the table of how many can be kept of what is left of both from each pair of places on."""
    left = [[0] * (len(b) + 1) for _ in range(len(a) + 1)]
    for i in reversed(range(len(a))):
        for j in reversed(range(len(b))):
            same = left[i + 1][j + 1] + 1 if a[i] == b[j] else 0
            left[i][j] = max(same, left[i + 1][j], left[i][j + 1])
    made = []
    i = j = 0
    while i < len(a) and j < len(b) and left[i][j]:
        if a[i] == b[j] and left[i][j] == left[i + 1][j + 1] + 1:
            made.append((i, j))
            i, j = i + 1, j + 1
        elif left[i + 1][j] >= left[i][j + 1]:
            i += 1
        else:
            j += 1
    return made


def gaps(pairs: Pairs, old: int, new: int) -> list[tuple[range, range]]:
    """What lies before, between and behind the pairs, as ranges of both sequences of `old` and `new` members.

    >>> gaps([(1, 0)], 2, 3)
    [(range(0, 1), range(0, 0)), (range(2, 2), range(1, 3))]
    """
    made = []
    i = j = 0
    for a, b in [*pairs, (old, new)]:
        made.append((range(i, a), range(j, b)))
        i, j = a + 1, b + 1
    return made
