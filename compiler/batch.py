"""Several files as one job: each compiled, their units added up, and what only shows when they lie side by side."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from os import PathLike
from typing import TYPE_CHECKING

from .api import Compilation, Compiler, Loaded
from .model.finding import Finding
from .pipeline import merged
from .source.reader import DiskReader, Reader

if TYPE_CHECKING:
    from .model.explanation import Explanation
    from .model.hookup import Hookup
    from .model.table import Table
    from .takeoff.job import Job


@dataclass(slots=True)
class Batch:
    """What some files compile to. The job is made of those that can be compiled.

    What is found across the files is among the findings of the file that it names.
    """

    compilations: tuple[Compilation, ...]
    job: Job
    _tables: dict[str, Table] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """`all 12 files`, `11 of 12 files` where one cannot be compiled; of a single file its name."""
        count = len(self.compilations)
        if count == 1:
            return self.compilations[0].name
        return f"{count - len(self.left_out)} of {count} files" if self.left_out else f"all {count} files"

    @property
    def left_out(self) -> tuple[str, ...]:
        """The files that cannot be compiled, by name."""
        return tuple(one.name for one in self.compilations if one.broken)

    @property
    def broken(self) -> bool:
        """Whether no file could be compiled, so that the lists say nothing."""
        return len(self.left_out) == len(self.compilations)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings that nobody has accepted, by file and line; one of a file that others use is there once."""
        return tuple(merged([finding for one in self.compilations for finding in one.findings]))

    @property
    def hookups(self) -> Sequence[Hookup]:
        """The distinct hookups of all files, each with the units that are built so."""
        return self.job.hookups

    @property
    def sources(self) -> Mapping[str, str]:
        """The text of every file read, by name."""
        return {name: text for one in self.compilations for name, text in one.sources.items()}

    def tables(self, names: Sequence[str] | None = None) -> tuple[Table, ...]:
        """Lists by name over all files, the default ones if none is named. KeyError for a name that is none.

        A note names the files that are not in them.
        """
        from .takeoff import DEFAULT_LISTS
        from .takeoff.lists import make

        wanted = names if names is not None else DEFAULT_LISTS
        for name in wanted:
            if name not in self._tables:
                table = make(name, self.job)
                self._tables[name] = replace(table, notes=(*self._missing(), *table.notes))
        return tuple(self._tables[name] for name in wanted)

    def why(self, subject: str) -> Explanation | None:
        """What made a row of a list over all files (`bill:12`), a line, a tag, or what a rule asks; None if unknown."""
        from .takeoff.why import explain

        return explain(subject, self)

    def _missing(self) -> tuple[str, ...]:
        names = ", ".join(f"`{name}`" for name in self.left_out)
        return (f"Not in this list, because they cannot be compiled: {names}.",) if names else ()


def compile_files(
    paths: Iterable[str | PathLike[str]],
    *,
    reader: Reader | None = None,
    today: str = "",
    texts: Mapping[str, str] | None = None,
    parts: Collection[str] = (),
    progress: Callable[[int, int], None] | None = None,
) -> Batch:
    """Compile some hookup files as one job, in the order named; a file named twice is one.

    `reader` and `today` are as for `compile_file`. `texts` holds the text of files that are not to be read. Those of
    the paths that are in `parts` do not stand alone where another one reads them by `use`. `progress` is called with
    how many files are done and how many there are.

    Never raises because of what a file holds. An empty batch raises ValueError.
    """
    compiler = Compiler(reader or DiskReader(), today)
    named: dict[str, str] = {}
    for path in paths:
        named.setdefault(os.path.realpath(path), str(path))
    if not named:
        raise ValueError("there are no files to compile")
    loaded = [compiler.load(path, (texts or {}).get(path)) for path in named.values()]
    used = _used(loaded)
    loaded = [file for file in loaded if file.name not in parts or os.path.realpath(file.name) not in used]
    done = []
    for number, file in enumerate(loaded, 1):
        done.append(compiler.compile(file))
        if progress is not None:
            progress(number, len(loaded))
    return _together(done)


def _used(files: Iterable[Loaded]) -> set[str]:
    """The real paths of the files that others use."""
    real = {name: os.path.realpath(name) for name in {tree.file for file in files for tree in file.trees}}
    return {real[tree.file] for file in files for tree in file.trees if real[tree.file] != os.path.realpath(file.name)}


def _together(files: Sequence[Compilation]) -> Batch:
    from .analysis.across import check_across, check_units
    from .takeoff.job import Job
    from .takeoff.together import added_up, as_one, each_unit_once

    whole = [file for file in files if not file.broken]
    hookups = each_unit_once(hookup for file in whole for hookup in file.hookups)
    settings, found = as_one(file.compiled.declared.takeoff for file in whole)
    units = ((tag, node.span) for file in whole for tag, node in file.compiled.declared.units.items())
    for finding in (*found, *check_units(units), *check_across(hookups)):
        file = next((file for file in whole if finding.span.file in file.sources), whole[0])
        file.found = (*file.found, finding)
    for file in whole:
        file.found = tuple(merged(file.found))
    return Batch(tuple(files), Job(added_up(hookups), settings))
