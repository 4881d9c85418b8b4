"""`coilwright takeoff`: the lists to standard output, and to standard error what stands in their way."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ..report.result import Result, count, sum_line, without_repeats
from ..takeoff import DEFAULT_LISTS
from .inputs import compile_inputs
from .output import deliver, exit_code, format_of, look_for
from .progress import Progress

if TYPE_CHECKING:
    from ..api import Compilation
    from ..batch import Batch
    from ..model.table import Table


def run(arguments: Namespace) -> int:
    """Take off all files as one job. What cannot be compiled is not in the lists; the others are."""
    form = format_of(arguments)
    names = list(dict.fromkeys(arguments.lists)) if arguments.lists else list(DEFAULT_LISTS)
    with Progress(arguments.quiet) as progress:
        batch = compile_inputs(arguments.inputs, arguments.stdin_filename, arguments.on or "", progress.files)
        results = _results(batch, names, arguments.each, progress)
    tell(results, batch.left_out, arguments)
    if any(result.tables for result in results) or form == "json":
        deliver(results, arguments, replace(look_for(arguments.out, arguments.units), findings=False, sum=False))
    return exit_code(results)


def _results(batch: Batch, names: Sequence[str], each: bool, progress: Progress) -> list[Result]:
    """The lists of a single file, or those of the job, and with `each` those of every file behind them."""
    alone = len(batch.compilations) == 1
    files = [(one, names if (each or alone) and not one.broken else ()) for one in batch.compilations]
    together = () if alone or batch.broken else names
    many = len(together) + sum(len(wanted) for _, wanted in files)
    done = 0

    def made(of: Batch | Compilation, wanted: Sequence[str]) -> tuple[Table, ...]:
        nonlocal done
        tables: list[Table] = []
        for name in wanted:
            tables.extend(of.tables([name]))
            done += 1
            progress.lists(done, many)
        return tuple(tables)

    job = [] if alone else [Result(batch.name, (), {}, made(batch, together), of_job=True)]
    return [*job, *without_repeats([Result(f.name, f.findings, f.sources, made(f, wanted)) for f, wanted in files])]


def tell(results: Sequence[Result], left_out: Sequence[str], arguments: Namespace) -> None:
    """Errors in full; of the rest the sum, how to see them, and what is not in the lists."""
    from ..report import findings_text
    from ..report.colour import paint_for

    for result in results:
        errors = [finding for finding in result.findings if finding.severity == "error"]
        if errors:
            print(findings_text.render(errors, result.sources, paint_for(sys.stderr, os.environ)), file=sys.stderr)
    counts = count(results)
    if not arguments.quiet and any(counts.values()):
        print(sum_line(results), file=sys.stderr)
        if any(number for severity, number in counts.items() if severity != "error"):
            print(f"to see them: coilwright check {' '.join(map(_quoted, arguments.inputs))}", file=sys.stderr)
        if left_out and len(results) > 1:
            print(f"not in the lists: {', '.join(left_out)}", file=sys.stderr)


def _quoted(word: str) -> str:
    from shlex import quote

    return quote(word)
