"""`coilwright why`: what made a row, a line, a tag, or what a rule asks."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from ..report.explanations import Explained, render
from ..report.trouble import Trouble
from ..report.write import to_files, to_stdout
from ..takeoff import LISTS
from .inputs import compile_inputs
from .output import format_of, is_folder, look_for


def run(arguments: Namespace) -> int:
    """Explain the subject in each file that knows it, a row of a list in the lists of all files together.

    Raises Trouble where none knows it.
    """
    form = format_of(arguments)
    if arguments.out is not None and is_folder(arguments.out):
        raise Trouble(f"`{arguments.out}` is a folder; `why` writes one file")
    told: list[Explained] = []
    batch = compile_inputs(arguments.inputs, arguments.stdin_filename)
    for one in (batch,) if _is_row(arguments.subject) else batch.compilations:
        explanation = one.why(arguments.subject)
        if explanation is not None and all(explanation != other.explanation for other in told):
            told.append(Explained(one.name, explanation, one.sources))
    if not told:
        cause = (
            "a file cannot be compiled; `coilwright check` says why"
            if batch.left_out
            else ("name a row of a list (bill:12), a line (41), a tag or a rule")
        )
        raise Trouble(f"there is nothing called `{arguments.subject}`; {cause}")
    text = render(told, form, look_for(arguments.out).columns)
    if arguments.out is None:
        to_stdout(text)
    else:
        to_files({Path(arguments.out): text})
    return 0


def _is_row(subject: str) -> bool:
    """Whether it is the name of a row, such as `bill:12`."""
    name, _, number = subject.rpartition(":")
    return name in LISTS and number.isdigit()
