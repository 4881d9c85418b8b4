"""Findings as a table, for CSV: a row a finding."""

from __future__ import annotations

from collections.abc import Iterable

from ..model.finding import Finding
from ..model.table import Column, Row, Table

_COLUMNS = tuple(
    Column(key, key.capitalize())
    for key in ("file", "line", "column", "severity", "rule", "message", "label", "notes", "help", "mend", "units")
)


def as_table(findings: Iterable[Finding]) -> Table:
    """Findings with file, line, column, severity, rule, message, label, notes, help, mend and units."""
    return Table("findings", "Findings", _COLUMNS, tuple(_row(finding) for finding in findings))


def _row(finding: Finding) -> Row:
    span = finding.span
    notes = "; ".join(f"{note.text} ({note.span})" if note.span else note.text for note in finding.notes)
    return Row(
        {
            "file": span.file,
            "line": span.line,
            "column": span.column,
            "severity": finding.severity,
            "rule": finding.rule,
            "message": finding.message,
            "label": finding.label,
            "notes": notes,
            "help": finding.help,
            "mend": "; ".join(edit.said() for edit in finding.mend),
            "units": finding.units,
        },
        (span,),
    )
