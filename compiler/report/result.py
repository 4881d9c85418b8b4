"""What comes out of one file, ready to be written, and the sum of several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ..model.finding import SEVERITIES, Finding, Severity
from ..model.table import Table


@dataclass(frozen=True, slots=True)
class Result:
    """One compiled file: its name as the user gave it, what was found, the texts for excerpts, and its lists.

    `of_job`: the lists of several files together; its name says of how many.
    """

    file: str
    findings: tuple[Finding, ...]
    sources: Mapping[str, str]
    tables: tuple[Table, ...] = ()
    of_job: bool = False


def count(results: Sequence[Result]) -> dict[Severity, int]:
    """How many findings of each severity; every severity has its entry."""
    found = [finding.severity for result in results for finding in result.findings]
    return {severity: found.count(severity) for severity in SEVERITIES}


def sum_line(results: Sequence[Result]) -> str:
    """`3 findings (2 must, 1 should), in 1 file`, without a line end."""
    counts = count(results)
    total = sum(counts.values())
    parts = ", ".join(f"{count} {severity}" for severity, count in counts.items() if count)
    number = sum(not result.of_job for result in results)
    files = f"in {number} file{'' if number == 1 else 's'}"
    if not total:
        return f"no findings, {files}"
    return f"{total} finding{'' if total == 1 else 's'} ({parts}), {files}"


def titled_tables(results: Sequence[Result]) -> list[Table]:
    """The lists of all files; where there are several files, each title names its own."""
    if len(results) == 1:
        return list(results[0].tables)
    return [replace(table, title=f"{table.title}: {result.file}") for result in results for table in result.tables]


def without_repeats(results: Sequence[Result]) -> list[Result]:
    """The same results, each finding told once, with the units of all results: a file that several others `use` is
    read with each of them."""
    units: dict[Finding, list[str]] = {}
    for finding in (finding for result in results for finding in result.findings):
        units.setdefault(replace(finding, units=()), []).extend(finding.units)
    made = []
    for result in results:
        alike = dict.fromkeys(replace(finding, units=()) for finding in result.findings)
        fresh = [replace(f, units=tuple(dict.fromkeys(units.pop(f)))) for f in alike if f in units]
        made.append(replace(result, findings=tuple(fresh)))
    return made
