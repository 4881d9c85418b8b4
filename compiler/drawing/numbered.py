"""Where on a diagram the numbers of findings stand."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.finding import Finding
from ..model.hookup import Component, Hookup
from ..model.span import Span


def places(
    hookup: Hookup, findings: Sequence[tuple[int, Finding]], shown: Sequence[Component]
) -> tuple[dict[str, list[int]], list[int]]:
    """The numbers by component id (by `line ID` for a line), and those that no place on the diagram is found for.

    `shown`: the components that have a symbol there, those in the lines themselves first.
    """
    found: dict[str, list[int]] = {}
    nowhere: list[int] = []
    by_line: dict[tuple[str, int], str] = {}
    for component in shown:
        for span in component.origin[:1]:
            by_line.setdefault((span.file, span.line), component.id)
    for id, info in hookup.lines.items():
        by_line.setdefault((info.span.file, info.span.line), f"line {id}")
    for id, move in hookup.moves:
        by_line.setdefault((move.span.file, move.span.line), f"line {id}")
    for tag, facts in hookup.coils.items():
        spans = [facts.span, *(port.span for port in facts.ports.values())]
        for span in spans:
            by_line.setdefault((span.file, span.line), tag)
    tags = {component.tag: component.id for component in shown if component.tag}
    for number, finding in findings:
        place = _place(finding, by_line, tags)
        if place:
            found.setdefault(place, []).append(number)
        else:
            nowhere.append(number)
    return found, nowhere


def _place(finding: Finding, by_line: dict[tuple[str, int], str], tags: dict[str, str]) -> str:
    span: Span = finding.span
    at = by_line.get((span.file, span.line))
    if at is not None:
        return at
    return next((tags[tag] for tag in finding.about if tag in tags), "")
