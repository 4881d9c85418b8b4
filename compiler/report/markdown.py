"""Making text safe inside Markdown."""

from __future__ import annotations

import re

from .plain import visible

_MARKS = re.compile(r"([\\`*_\[\]<>|~&#])")
_IN_TICKS = re.compile(r"(`[^`]*`)")


def escape(text: str) -> str:
    """Text that reads in Markdown as it stands here, also inside a table.

    >>> print(escape("BV-*01 | BV-*02"))
    BV-\\*01 \\| BV-\\*02
    """
    return _MARKS.sub(r"\\\1", _one_line(text))


def prose(text: str) -> str:
    """A message: what stands in backticks stays code, the rest is escaped."""
    pieces = _IN_TICKS.split(_one_line(text))
    return "".join(piece if index % 2 else _MARKS.sub(r"\\\1", piece) for index, piece in enumerate(pieces))


def _one_line(text: str) -> str:
    return visible(" ".join(text.split()))


def fenced(text: str) -> str:
    """A block of text as it is, between fences longer than any run of backticks in it."""
    longest = max((len(run) for run in re.findall("`+", text)), default=0)
    fence = "`" * max(3, longest + 1)
    return f"{fence}text\n{text}\n{fence}"
