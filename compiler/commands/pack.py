"""`coilwright pack`: everything for a job in one folder."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from ..report.result import Result, count, sum_line, without_repeats
from ..report.trouble import Trouble
from .inputs import Input, gather, stdin_text
from .output import exit_code
from .progress import Progress

if TYPE_CHECKING:
    from ..batch import Batch
    from ..source.reader import Reader


def run(arguments: Namespace) -> int:
    """Write the pack of all files as one job. Nothing is written where no file can be compiled."""
    folder = Path(arguments.out)
    if folder.exists() and not folder.is_dir():
        raise Trouble(f"`{folder}` is a file; a pack goes into a folder")
    with Progress(arguments.quiet) as progress:
        batch = _compiled(arguments, progress)
    results = without_repeats([Result(one.name, one.findings, one.sources) for one in batch.compilations])
    _tell(results, arguments.quiet)
    if not batch.broken:
        from ..pack import Options, pack
        from ..pack.put import put

        options = Options(arguments.revision, arguments.date or "", arguments.units, arguments.pdf)
        put(pack(batch, options), folder)
        if not arguments.quiet:
            print(f"written: {folder / 'index.html'} and what belongs to it", file=sys.stderr)
    return exit_code(results)


def _compiled(arguments: Namespace, progress: Progress) -> Batch:
    """The files by their names below the folder that they share, so that a pack does not say where it was made."""
    from ..batch import compile_files

    inputs = gather(arguments.inputs, arguments.stdin_filename)
    shared = os.path.commonpath([os.path.dirname(os.path.abspath(one.path or "x")) for one in inputs])

    def name(one: Input) -> str:
        return Path(os.path.relpath(one.path, shared)).as_posix() if one.path else one.name

    return compile_files(
        [name(one) for one in inputs],
        reader=_below(shared),
        today=arguments.on or "",
        texts={name(one): stdin_text(one.name) for one in inputs if not one.path},
        parts={name(one) for one in inputs if one.in_folder},
        progress=progress.files,
    )


def _below(folder: str) -> Reader:
    """Reads files by their names below a folder."""
    from ..source.reader import DiskReader

    class Below(DiskReader):
        def read(self, path: str) -> str:
            return super().read(os.path.join(folder, path))

        def inside(self, path: str, of: str) -> bool:
            return super().inside(os.path.join(folder, path), os.path.join(folder, of))

    return Below()


def _tell(results: list[Result], quiet: bool) -> None:
    """Errors in full, of the rest the sum."""
    from ..report import findings_text
    from ..report.colour import paint_for

    for result in results:
        errors = [finding for finding in result.findings if finding.severity == "error"]
        if errors:
            print(findings_text.render(errors, result.sources, paint_for(sys.stderr, os.environ)), file=sys.stderr)
    if not quiet and any(count(results).values()):
        print(sum_line(results), file=sys.stderr)
