"""Findings as text: place, severity and message first, so that an editor can jump there, then the line itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ..model.finding import Finding, Note
from .colour import Paint, no_paint
from .excerpt import Sources, excerpt
from .plain import visible
from .values import shortened


def render(findings: Iterable[Finding], texts: Mapping[str, str], paint: Paint = no_paint) -> str:
    """All findings, an empty line between two; an empty text if there are none. `texts` holds the files read."""
    sources = Sources(texts)
    return "\n".join(one(finding, sources, paint) for finding in findings)


def one(finding: Finding, sources: Sources, paint: Paint = no_paint) -> str:
    """One finding, with a line end."""
    severity = paint(finding.severity, finding.severity)
    head = f"{visible(str(finding.span))}: {severity}: {visible(finding.message)} [{finding.rule}]"
    return "\n".join([head, *_body(finding, sources, paint)]) + "\n"


def _body(finding: Finding, sources: Sources, paint: Paint) -> Iterator[str]:
    shown = excerpt(finding.span, sources)
    gutter = " " * len(str(finding.span.line)) if shown else " "
    if shown:
        line, marks = shown
        label = f" {visible(finding.label)}" if finding.label else ""
        yield f"{gutter} |"
        yield f"{finding.span.line} | {line}".rstrip()
        yield f"{gutter} | {marks[: -len(marks.lstrip())]}{paint(marks.lstrip() + label, finding.severity)}"
    elif finding.label:
        yield f"{gutter} = here: {visible(finding.label)}"
    for note in finding.notes:
        yield f"{gutter} = note: {visible(_said(note))}"
    if finding.units:
        yield f"{gutter} = {'unit' if len(finding.units) == 1 else 'units'}: {visible(shortened(finding.units))}"
    if finding.help:
        yield f"{gutter} = help: {visible(finding.help)}"
    for edit in finding.mend:
        yield f"{gutter} = mend: {visible(edit.said())}"


def _said(note: Note) -> str:
    return f"{note.text} ({note.span})" if note.span else note.text
