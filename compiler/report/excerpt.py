"""A line of the user's file with words underlined."""

from __future__ import annotations

from collections.abc import Mapping

from ..model.span import Span
from ..source.plain import one_newline
from .plain import visible, width

_TAB = 4
#: Columns of a line that are shown; of a longer one, the part around the words, with this much before them.
_WIDEST = 100
_BEFORE = 30
_CUT = "…"


class Sources:
    """The lines of the files read. Splits a file when its first line is asked for."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self._texts = texts
        self._lines: dict[str, list[str]] = {}

    def line(self, file: str, number: int) -> str | None:
        """Line `number` (from 1) of a file; None if the file was not read or has no such line."""
        if file not in self._texts:
            return None
        if file not in self._lines:
            self._lines[file] = one_newline(self._texts[file]).split("\n")
        lines = self._lines[file]
        return lines[number - 1] if 1 <= number <= len(lines) else None


def excerpt(span: Span, sources: Sources) -> tuple[str, str] | None:
    """The line that a span starts on and the marks under its words, as wide as each other; None without the line.

    A span of several lines is marked on its first one. An empty span gets one mark, where something is missing.
    """
    line = sources.line(span.file, span.line)
    if line is None:
        return None
    start = min(span.column - 1, len(line))
    end = len(line) if span.end_line > span.line else min(span.end_column - 1, len(line))
    return _marked(line, start, max(end, start))


def _marked(line: str, start: int, end: int) -> tuple[str, str]:
    """`line[start:end]` marked."""
    first, last = 0, len(line)
    if last > _WIDEST or width(line) > _WIDEST:
        first = max(0, min(start - _BEFORE, last - _WIDEST))
        last = min(last, first + _WIDEST)
        while width(line[first:last]) > _WIDEST and last > start + 1:
            last -= 1
    before = (_CUT if first else "") + _spread(line[first:start])
    words = _spread(line[start : min(end, last)], width(before))
    after = _spread(line[max(start, min(end, last)) : last], width(before + words)) + (_CUT if last < len(line) else "")
    return before + words + after, " " * width(before) + "^" * max(1, width(words))


def _spread(text: str, column: int = 0) -> str:
    """Tabs as blanks, control characters as signs. `column` is where the text starts."""
    pieces = visible(text).split("\t")
    for index, piece in enumerate(pieces[:-1]):
        column += width(piece)
        blanks = _TAB - column % _TAB
        pieces[index] = piece + " " * blanks
        column += blanks
    return "".join(pieces)
