"""`coilwright takeoff`: the lists to standard output, and to standard error what stands in their way."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace

from ..report.result import Result, count, sum_line, without_repeats
from .inputs import compile_inputs
from .output import deliver, exit_code, format_of, look_for


def run(arguments: Namespace) -> int:
    """Take off all files. Those that cannot be compiled have no lists; the others still get theirs."""
    form = format_of(arguments)
    names = list(dict.fromkeys(arguments.lists)) if arguments.lists else None
    results = without_repeats(
        [
            Result(one.name, made.findings, made.sources, () if made.broken else made.tables(names))
            for one in compile_inputs(arguments.inputs, arguments.stdin_filename, arguments.on or "")
            for made in [one.compilation]
        ]
    )
    _tell(results, arguments)
    if any(result.tables for result in results) or form == "json":
        deliver(results, arguments, replace(look_for(arguments.out, arguments.units), findings=False, sum=False))
    return exit_code(results)


def _tell(results: Sequence[Result], arguments: Namespace) -> None:
    """Errors in full; of the rest the sum, and how to see them."""
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


def _quoted(word: str) -> str:
    from shlex import quote

    return quote(word)
