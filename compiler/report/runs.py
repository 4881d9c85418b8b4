"""Many tags in few words: a run of them from its first to its last."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

#: Fewer than this are written out.
_LEAST = 3
_NUMBERS = re.compile(r"(\d+)")


def in_runs(tags: Sequence[str]) -> tuple[str, ...]:
    """Tags with runs of them as `first … last`: one number of theirs goes up by one, all else stays as it is.

    >>> in_runs(["BV-1", "BV-2", "BV-4", "BV-5", "BV-6"])
    ('BV-1', 'BV-2', 'BV-4 … BV-6')
    >>> in_runs(["BV-301-1", "BV-301-2", "BV-302-1", "BV-302-2", "BV-303-1", "BV-303-2"])
    ('BV-301-1 … BV-303-1', 'BV-301-2 … BV-303-2')
    """
    left = dict.fromkeys(tags)
    if len(left) < len(tags):
        return tuple(tags)  # a tag that stands twice is a mistake to be seen
    made: list[str] = []
    while left:
        first = next(iter(left))
        run = max((list(_run(first, place, left)) for place in _places(first)), key=len, default=[first])
        if len(run) < _LEAST:
            run = [first]
        made.append(f"{run[0]} … {run[-1]}" if len(run) > 1 else first)
        for tag in run:
            del left[tag]
    return tuple(made)


def _places(tag: str) -> range:
    """The places of a tag's numbers among its parts."""
    return range(1, len(_NUMBERS.split(tag)), 2)


def _run(tag: str, place: int, tags: dict[str, None]) -> Iterator[str]:
    """The tag and those that follow it as the number at that place goes up."""
    parts = _NUMBERS.split(tag)
    while tag in tags:
        yield tag
        parts[place] = str(int(parts[place]) + 1).zfill(len(parts[place]))
        tag = "".join(parts)
