"""The Python face of coilwright: compile a file or a text, and ask for findings, the graph and the lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from os import PathLike
from typing import TYPE_CHECKING

from .model.finding import Finding, Findings
from .model.span import Span
from .pipeline import Compiled, merged, run_passes
from .source.reader import DiskReader, Reader
from .source.uses import load_trees

if TYPE_CHECKING:
    from .model.explanation import Explanation
    from .model.hookup import Hookup
    from .model.table import Table
    from .rules.registry import Checked
    from .takeoff.job import Job


@dataclass(slots=True)
class Compilation:
    """What one file (with all it uses) compiles to.

    `found` holds all findings in file order, the accepted ones too; `sources` maps each file read to its text. Where
    `broken`, the lists say nothing.
    """

    found: tuple[Finding, ...]
    sources: Mapping[str, str]
    compiled: Compiled
    checked: list[Checked] = field(default_factory=list)
    _tables: dict[str, Table] = field(default_factory=dict)
    _job: Job | None = None

    @property
    def accepted(self) -> tuple[Finding, ...]:
        """Those findings that the file accepts."""
        return tuple(f for f in self.found if f.accepted)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings that nobody has accepted, in file order."""
        return tuple(f for f in self.found if not f.accepted)

    @property
    def broken(self) -> bool:
        """Whether the file could not be compiled as it stands."""
        return any(f.severity == "error" for f in self.findings)

    @property
    def hookups(self) -> Sequence[Hookup]:
        """The distinct hookups with their graphs, each with the units that are built so."""
        return self.compiled.hookups

    @property
    def job(self) -> Job:
        """What the lists are made from."""
        if self._job is None:
            from .takeoff.job import Job

            self._job = Job(self.compiled.hookups, self.compiled.declared.takeoff)
        return self._job

    def tables(self, names: Sequence[str] | None = None) -> tuple[Table, ...]:
        """Lists by name (`coilwright.takeoff.LISTS`), the default ones if none is named. KeyError for another name."""
        from .takeoff import DEFAULT_LISTS
        from .takeoff.lists import make

        wanted = names if names is not None else DEFAULT_LISTS
        for name in wanted:
            if name not in self._tables:
                self._tables[name] = make(name, self.job)
        return tuple(self._tables[name] for name in wanted)

    def checker(self, *, short: bool = False) -> Table:
        """The checker's table: a row a coil of every unit. The `short` one is for paper."""
        from .takeoff.checker import checker

        return checker(self.checked, self.accepted, short=short)

    def sheets(self, *, short: bool = False) -> tuple[Table, ...]:
        """What a checker signs: the table of all coils, and the accepted findings if there are any."""
        from .takeoff.checker import accepted_table

        accepted = accepted_table(self.accepted)
        return (self.checker(short=short),) if accepted is None else (self.checker(short=short), accepted)

    def why(self, subject: str) -> Explanation | None:
        """What made a row (`bill:12`), a line (`41`, `FILE:41`) or a tag, or what a rule asks; None if unknown."""
        from .takeoff.why import explain

        return explain(subject, self)


def compile_file(path: str | PathLike[str], *, reader: Reader | None = None, today: str = "") -> Compilation:
    """Compile a hookup file. `reader` gives the text of files by path; the default one reads the disk.

    `today` (`2027-06-30`) is held against the dates until which findings are accepted; empty: none has run out.

    Never raises because of what a file holds; an unreadable file is a finding.
    """
    return _compile(str(path), None, reader or DiskReader(), today)


def compile_text(text: str, *, name: str = "<text>", reader: Reader | None = None, today: str = "") -> Compilation:
    """Compile the text of a hookup. `name` stands for the file in findings; `use` reads through `reader`."""
    return _compile(name, text, reader or DiskReader(), today)


def _compile(name: str, text: str | None, reader: Reader, today: str) -> Compilation:
    from .rules.across import check_across
    from .rules.registry import check_hookup
    from .rules.settings import load_packs, settled, severities

    trees, found = load_trees(name, reader, text=text)
    sources = {tree.file: tree.text for tree in trees}
    compiled = run_passes(trees)
    findings = [*found, *compiled.findings]
    checked: list[Checked] = []
    if not any(f.severity == "error" for f in findings):
        if not compiled.hookups:
            nothing = Findings()
            nothing.add(
                "nothing-to-compile",
                "the file declares no typical and no unit, so there is nothing to count",
                _whole(name),
                help="a first file in ten lines is in the README",
            )
            findings.extend(nothing.items)
        findings.extend(load_packs(compiled.declared.rules))
        graded, wrong = severities(compiled.declared.rules)
        findings.extend(wrong)
        for hookup in compiled.hookups:
            checked.append(check_hookup(hookup, graded))
            findings.extend(checked[-1].findings)
        findings.extend(check_across(compiled.hookups))
        findings = settled(findings, checked, compiled.declared.rules, today)
    return Compilation(tuple(merged(findings)), sources, compiled, checked)


def _whole(name: str) -> Span:
    return Span(name, 1, 1, 1, 1)
