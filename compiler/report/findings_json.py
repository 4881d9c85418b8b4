"""Findings as plain data for JSON."""

from __future__ import annotations

from typing import Any

from ..model.finding import Finding
from ..model.mend import Edit
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
    help      how to mend it, in words; may be empty
    mend      the same as changes of the file, to be made together; empty where the file does not say enough. Each has
              `do` (`add`, `write`, `take out`, `move`), `at` (a place), `where` (of what is added or moved: `above`,
              `below`, `first under`, `last under` the line of `at`, or of `to`), `new` (lines, or the words to write),
              `old` (the words that go; empty: the whole line), `to` (a place, or null), and `said`, the same in words
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
        "mend": [_edit(edit) for edit in finding.mend],
        "units": list(finding.units),
    }


def _edit(edit: Edit) -> dict[str, Any]:
    return {
        "do": edit.do,
        "at": place(edit.at),
        "where": edit.where if edit.do in ("add", "move") else "",
        "new": list(edit.new),
        "old": edit.old,
        "to": place(edit.to) if edit.to else None,
        "said": edit.said(),
    }


def place(span: Span) -> dict[str, Any]:
    """File, start and end of a span."""
    return {
        "file": span.file,
        "start": {"line": span.line, "column": span.column},
        "end": {"line": span.end_line, "column": span.end_column},
    }
