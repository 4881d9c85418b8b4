"""What comes out of one file, ready to be written, and the sum of several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ..model.finding import SEVERITIES, Finding, Severity
from ..model.table import Table


@dataclass(frozen=True, slots=True)
class Result:
    """One compiled file: its name as the user gave it, what was found, the texts for excerpts, and its lists."""

    file: str
    findings: tuple[Finding, ...]
    sources: Mapping[str, str]
    tables: tuple[Table, ...] = ()


def count(results: Sequence[Result]) -> dict[Severity, int]:
    """How many findings of each severity; every severity has its entry."""
    found = [finding.severity for result in results for finding in result.findings]
    return {severity: found.count(severity) for severity in SEVERITIES}


def sum_line(results: Sequence[Result]) -> str:
    """`3 findings (2 must, 1 should), in 1 file`, without a line end."""
    counts = count(results)
    total = sum(counts.values())
    parts = ", ".join(f"{number} {severity}" for severity, number in counts.items() if number)
    files = f"in {len(results)} file{'' if len(results) == 1 else 's'}"
    if not total:
        return f"no findings, {files}"
    return f"{total} finding{'' if total == 1 else 's'} ({parts}), {files}"


def titled_tables(results: Sequence[Result]) -> list[Table]:
    """The lists of all files; where there are several files, each title names its own."""
    if len(results) == 1:
        return list(results[0].tables)
    return [replace(table, title=f"{table.title}: {result.file}") for result in results for table in result.tables]


def without_repeats(results: Sequence[Result]) -> list[Result]:
    """The same results, each finding told once: a file that several others `use` is read with each of them."""
    seen: set[Finding] = set()
    made = []
    for result in results:
        fresh = tuple(f for f in result.findings if f not in seen)
        seen.update(fresh)
        made.append(replace(result, findings=fresh))
    return made
