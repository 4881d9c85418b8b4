"""Places in a hookup file."""

from __future__ import annotations

from typing import NamedTuple


class Span(NamedTuple):
    """A stretch of text in one file.

    Lines and columns count from 1, in characters; `end_column` is one past the last.
    """

    file: str
    line: int
    column: int
    end_line: int
    end_column: int

    def to(self, other: Span) -> Span:
        """The stretch from the start of this one to the end of `other`."""
        return Span(self.file, self.line, self.column, other.end_line, other.end_column)

    def after(self) -> Span:
        """The empty place right behind this stretch: where a missing thing belongs."""
        return Span(self.file, self.end_line, self.end_column, self.end_line, self.end_column)

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


#: The spans a thing was made from: the user's own line first, then the typical, assembly or spec line behind it.
Origin = tuple[Span, ...]
