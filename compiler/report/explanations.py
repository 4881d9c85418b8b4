"""What `why` found, in the formats of all lists."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..model.explanation import Explanation
from ..model.span import Span
from ..model.table import Column, Row, Table
from .document import Format, as_json
from .excerpt import Sources
from .plain import visible
from .tables_text import PAPER

_COLUMNS = (Column("about", "About"), Column("what", "What"), Column("text", "Text"), Column("place", "Place"))


@dataclass(frozen=True, slots=True)
class Explained:
    """An explanation with the file asked and the texts that its places lie in."""

    file: str
    explanation: Explanation
    sources: Mapping[str, str]


def render(told: Sequence[Explained], form: Format, columns: int = PAPER) -> str | bytes:
    """All explanations."""
    if form == "json":
        return as_json({"explanations": [_data(one) for one in told]})
    if form == "text":
        return "\n".join("\n".join(_lines(one, columns)) + "\n" for one in told)
    table = Table("why", "Why", _COLUMNS, tuple(row for one in told for row in _rows(one)))
    if form == "csv":
        from . import tables_csv

        return tables_csv.render([table])
    if form == "xlsx":
        from . import workbook

        return workbook.render([(table.name, table)])
    from . import tables_md

    return tables_md.render([table])


def _lines(one: Explained, columns: int) -> Iterator[str]:
    yield from textwrap.wrap(visible(one.explanation.title), columns)
    for paragraph in one.explanation.paragraphs:
        yield from textwrap.wrap(visible(paragraph), columns, initial_indent="  ", subsequent_indent="  ")
    for span, line in _places(one):
        yield f"  {visible(str(span))}: {line}".rstrip(": ")


def _places(one: Explained) -> Iterator[tuple[Span, str]]:
    """Each place with its line of the file, empty where the file was not read. Spans that begin alike are one place."""
    sources = Sources(one.sources)
    places: dict[str, Span] = {}
    for span in one.explanation.spans:
        places.setdefault(str(span), span)
    for span in places.values():
        yield span, visible(" ".join((sources.line(span.file, span.line) or "").split()))


def _data(one: Explained) -> dict[str, object]:
    """file, title, paragraphs, and places as a list of {"place", "line"}."""
    return {
        "file": one.file,
        "title": one.explanation.title,
        "paragraphs": list(one.explanation.paragraphs),
        "places": [{"place": str(span), "line": line} for span, line in _places(one)],
    }


def _rows(one: Explained) -> Iterator[Row]:
    title = one.explanation.title
    for paragraph in one.explanation.paragraphs:
        yield Row({"about": title, "what": "reason", "text": paragraph}, one.explanation.spans)
    for span, line in _places(one):
        yield Row({"about": title, "what": "line", "text": line, "place": str(span)}, (span,))
