"""`coilwright check`: findings, then the checker's table. Findings are the product here and go to standard output."""

from __future__ import annotations

import sys
from argparse import Namespace
from dataclasses import replace

from ..report.result import Result, sum_line, without_repeats
from .inputs import compile_inputs
from .output import deliver, exit_code, format_of, look_for
from .progress import Progress


def run(arguments: Namespace) -> int:
    """Check all files; the exit code is that of the worst finding."""
    short = format_of(arguments) in ("text", "md")  # programs get every column
    with Progress(arguments.quiet) as progress:
        batch = compile_inputs(arguments.inputs, arguments.stdin_filename, arguments.on or "", progress.files)
        results = without_repeats(
            [
                Result(one.name, one.findings, one.sources, () if one.broken else one.sheets(short=short))
                for one in batch.compilations
            ]
        )
    deliver(results, arguments, replace(look_for(arguments.out, arguments.units), sum=not arguments.quiet))
    if arguments.out is not None and not arguments.quiet:
        print(sum_line(results), file=sys.stderr)
    return exit_code(results)
