"""Findings as Markdown: a list, each with its excerpt."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ..model.finding import Finding
from .excerpt import Sources, excerpt
from .markdown import escape, fenced, prose
from .values import shortened


def render(findings: Iterable[Finding], texts: Mapping[str, str]) -> str:
    """All findings as a list; an empty text if there are none."""
    sources = Sources(texts)
    told = ["\n".join(_lines(finding, sources)) for finding in findings]
    return "\n".join(told) + "\n" if told else ""


def _lines(finding: Finding, sources: Sources) -> Iterator[str]:
    yield f"- **{finding.severity}** {escape(str(finding.span))}: {prose(finding.message)} ({escape(finding.rule)})"
    shown = excerpt(finding.span, sources)
    if shown:
        line, marks = shown
        block = f"{line.rstrip()}\n{marks}{' ' + finding.label if finding.label else ''}"
        yield from ("  " + text if text else "" for text in ("", *fenced(block).split("\n"), ""))
    elif finding.label:
        yield f"  - here: {prose(finding.label)}"
    for note in finding.notes:
        yield f"  - note: {prose(note.text)}{f' ({escape(str(note.span))})' if note.span else ''}"
    if finding.units:
        yield f"  - {'unit' if len(finding.units) == 1 else 'units'}: {escape(shortened(finding.units))}"
    if finding.help:
        yield f"  - help: {prose(finding.help)}"
    for edit in finding.mend:
        yield f"  - mend: {prose(edit.said())}"
