"""The known word nearest to one that is not known."""

from __future__ import annotations

from collections.abc import Iterable

#: No word of the language is longer.
_LONGEST = 60


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The nearest of `known`: the same but for case, else within a third of the word's length in edits; else None.

    >>> nearest("butterly valve", ["ball valve", "butterfly valve"])
    'butterfly valve'
    >>> nearest("XV-101", ["BV-102"]) is None
    True
    """
    if len(word) > _LONGEST:
        return None
    best: tuple[int, str] | None = None
    for other in known:
        if other.lower() == word.lower():
            best = min(best or (0, other), (0, other))
            continue
        limit = max(len(word) > 1, len(word) // 3)  # all words of one letter are alike
        if word[:1].isupper():  # tags are short and alike: only the closest of slips counts
            limit = 1
        if abs(len(other) - len(word)) > limit:
            continue
        distance = _edits(word.lower(), other.lower())
        if distance <= limit and (best is None or (distance, other) < best):
            best = (distance, other)
    return best[1] if best is not None else None


def _edits(a: str, b: str) -> int:
    """Insertions, deletions, changes and swaps of neighbours between two words."""
    before: list[int] = []
    last = list(range(len(b) + 1))
    for i, one in enumerate(a, 1):
        row = [i]
        for j, other in enumerate(b, 1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (one != other))
            if i > 1 and j > 1 and one == b[j - 2] and a[i - 2] == other:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        before, last = last, row
    return last[-1]
