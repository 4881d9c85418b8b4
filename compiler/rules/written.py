"""Mends held against the text that they change: a rule knows what a line means, not how it is written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from ..model.finding import Finding
from ..model.mend import Edit
from ..source.plain import one_newline


def possible(findings: Iterable[Finding], sources: Mapping[str, str]) -> list[Finding]:
    """The findings, those without their mend whose words are not there to be replaced: they stand in an assembly, or
    the file says `sweat` for `solder`. The library is nobody's to change.
    """
    rows = {file: one_newline(text).split("\n") for file, text in sources.items()}

    def there(edit: Edit) -> bool:
        return edit.at.file in rows and edit.old in rows[edit.at.file][edit.at.line - 1]

    return [f if all(map(there, f.mend)) else replace(f, mend=()) for f in findings]
