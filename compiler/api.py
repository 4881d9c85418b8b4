"""The Python face of coilwright: compile a file or a text, and ask for findings, the graph and the lists.

Several files as one job: `coilwright.batch`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from os import PathLike
from typing import TYPE_CHECKING

from .model.finding import Finding, Findings
from .model.span import Span
from .passes.known import Known
from .pipeline import Compiled, merged, run_passes
from .source.reader import DiskReader, Reader
from .source.tree import Tree
from .source.uses import Parsed, load_trees

if TYPE_CHECKING:
    from .model.explanation import Explanation
    from .model.hookup import Hookup
    from .model.table import Table
    from .rules.registry import Checked
    from .takeoff.job import Job


@dataclass(slots=True)
class Compilation:
    """What one file (with all it uses) compiles to.

    `found` holds all findings in file order, the accepted ones too; `sources` maps each file read to its text; `name`
    is what the file itself is called. Where `broken`, the lists say nothing.
    """

    found: tuple[Finding, ...]
    sources: Mapping[str, str]
    compiled: Compiled
    checked: list[Checked] = field(default_factory=list)
    name: str = ""
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
    return _alone(str(path), None, reader, today)


def compile_text(text: str, *, name: str = "<text>", reader: Reader | None = None, today: str = "") -> Compilation:
    """Compile the text of a hookup. `name` stands for the file in findings; `use` reads through `reader`."""
    return _alone(name, text, reader, today)


def _alone(name: str, text: str | None, reader: Reader | None, today: str) -> Compilation:
    from .analysis.across import check_across

    compiler = Compiler(reader or DiskReader(), today)
    made = compiler.compile(compiler.load(name, text))
    if not made.broken:
        made.found = tuple(merged([*made.found, *check_across(made.hookups)]))
    return made


@dataclass(frozen=True, slots=True)
class Loaded:
    """A file that is read, with all it uses."""

    name: str
    trees: list[Tree]
    findings: list[Finding]


class Compiler:
    """Compiles files one by one: what several of them read is parsed once, what they build alike compiled once."""

    def __init__(self, reader: Reader, today: str) -> None:
        self._reader = reader
        self._today = today
        self._known = Known()
        self._kept: list[Loaded] = []  # their nodes are what `Known` goes by
        self._parsed: Parsed = {}
        self._checked: dict[object, Checked] = {}

    def load(self, name: str, text: str | None = None) -> Loaded:
        """A file, or the `text` that stands for it."""
        self._kept.append(Loaded(name, *load_trees(name, self._reader, text, self._parsed)))
        return self._kept[-1]

    def compile(self, file: Loaded) -> Compilation:
        """What a file comes to by itself, without a look across its units."""
        from .rules.registry import check_hookup
        from .rules.settings import load_packs, packs_of, settled, severities
        from .rules.written import possible

        compiled = run_passes(file.trees, self._known)
        sources = {tree.file: tree.text for tree in file.trees}
        findings = [*file.findings, *compiled.findings]
        checked: list[Checked] = []
        if not any(f.severity == "error" for f in findings):
            if not compiled.hookups:
                nothing = Findings()
                nothing.add(
                    "nothing-to-compile",
                    "the file declares no typical and no unit, so there is nothing to count",
                    Span(file.name, 1, 1, 1, 1),
                    help="a first file in ten lines is in the README",
                )
                findings.extend(nothing.items)
            settings = compiled.declared.rules
            findings.extend(load_packs(settings))
            graded, wrong = severities(settings)
            findings.extend(wrong)
            for hookup in compiled.hookups:
                # What is found at a unit's own line is no other file's.
                own = settings.packs or not all(unit.says_airflow for unit in hookup.units)
                key = None if own else (id(hookup.graph), *graded.items())
                if key in self._checked:
                    checked.append(self._checked[key].of(hookup))
                else:
                    checked.append(check_hookup(hookup, graded, packs_of(settings)))
                    if key is not None:
                        self._checked[key] = checked[-1]
                findings.extend(checked[-1].findings)
            findings = possible(settled(findings, checked, settings, self._today), sources)
        return Compilation(tuple(merged(findings)), sources, compiled, checked, file.name)
