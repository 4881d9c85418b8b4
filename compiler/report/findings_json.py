"""Findings as plain data for JSON."""

from __future__ import annotations

from typing import Any

from ..model.finding import Finding
from ..model.span import Span


def as_data(finding: Finding) -> dict[str, Any]:
    """One finding. Lines and columns count from 1, in characters; `end` is one past the last character.

    key       holds
    rule      the fault's name, `drain-missing`
    severity  `error`, `must`, `should` or `note`
    message   the finding in one sentence
    file, start, end  where: file name, {"line", "column"} twice
    label     the short text for the underlined words; may be empty
    notes     a list of {"text", "place"}; `place` has file, start and end, or is null
    help      how to mend it; may be empty
    units     tags of all units it holds for; empty if it is not about units
    """
    return {
        "rule": finding.rule,
        "severity": finding.severity,
        "message": finding.message,
        **place(finding.span),
        "label": finding.label,
        "notes": [{"text": n.text, "place": place(n.span) if n.span else None} for n in finding.notes],
        "help": finding.help,
        "units": list(finding.units),
    }


def place(span: Span) -> dict[str, Any]:
    """File, start and end of a span."""
    return {
        "file": span.file,
        "start": {"line": span.line, "column": span.column},
        "end": {"line": span.end_line, "column": span.end_column},
    }
