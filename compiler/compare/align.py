"""Which of two sequences' members stay in their place."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import TypeAlias

#: What two members must share to be the same one.
Token: TypeAlias = tuple[str, ...]
#: Indexes into the old and the new sequence; both rise from pair to pair.
Pairs: TypeAlias = list[tuple[int, int]]


def align(old: Sequence[Token], new: Sequence[Token]) -> Pairs:
    """The members of both sequences that keep their order.

    Aligning is done in one of the two directions, whichever way round they are given, so that changing places changes
    nothing else.

    >>> align([("a",), ("b",), ("c",)], [("b",), ("x",), ("c",), ("a",)])
    [(1, 0), (2, 2)]
    """
    if list(old) > list(new):
        return [(i, j) for j, i in align(new, old)]
    blocks = SequenceMatcher(None, list(old), list(new), autojunk=False).get_matching_blocks()
    return [(a + step, b + step) for a, b, size in blocks for step in range(size)]


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
