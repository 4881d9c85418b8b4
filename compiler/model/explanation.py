"""Why something is there: what `coilwright why` prints."""

from __future__ import annotations

from dataclasses import dataclass

from .span import Span


@dataclass(frozen=True, slots=True)
class Explanation:
    """A title, some paragraphs, and the lines of the file that are behind it."""

    title: str
    paragraphs: tuple[str, ...]
    spans: tuple[Span, ...] = ()
