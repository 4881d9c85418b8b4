"""`coilwright check`: findings, then the checker's table. Findings are the product here and go to standard output."""

from __future__ import annotations

import sys
from argparse import Namespace
from dataclasses import replace

from ..report.result import Result, sum_line, without_repeats
from .inputs import compile_inputs
from .output import deliver, exit_code, format_of, look_for


def run(arguments: Namespace) -> int:
    """Check all files; the exit code is that of the worst finding."""
    short = format_of(arguments) in ("text", "md")  # programs get every column
    results = without_repeats(
        [
            Result(one.name, made.findings, made.sources, () if made.broken else made.sheets(short=short))
            for one in compile_inputs(arguments.inputs, arguments.stdin_filename, arguments.on or "")
            for made in [one.compilation]
        ]
    )
    deliver(results, arguments, replace(look_for(arguments.out, arguments.units), sum=not arguments.quiet))
    if arguments.out is not None and not arguments.quiet:
        print(sum_line(results), file=sys.stderr)
    return exit_code(results)
