"""Where a result goes: standard output, a file, or a folder with one file a list."""

from __future__ import annotations

import os
import shutil
import sys
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path, PurePath

from ..report.colour import no_paint, paint_for
from ..report.document import FORMATS, Format, Look, render
from ..report.result import Result, count
from ..report.tables_text import PAPER
from ..report.trouble import Trouble
from ..report.units import Units
from ..report.write import to_files, to_stdout

_NARROWEST, _WIDEST = 60, 200


def exit_code(results: Sequence[Result]) -> int:
    """0 clean, 1 where something must be mended, 2 where a file could not be compiled."""
    counts = count(results)
    return 2 if counts["error"] else 1 if counts["must"] else 0


def format_of(arguments: Namespace) -> Format:
    """The format asked for, or the one that the ending of the output file means, or text."""
    if arguments.format is not None:
        asked: Format = arguments.format
        return asked
    if arguments.out is None or is_folder(arguments.out):
        return "text"
    ending = PurePath(arguments.out).suffix.lower()
    for form, endings in FORMATS.items():
        if ending in endings:
            return form
    raise Trouble(f"cannot tell the format from the name `{arguments.out}`; say which with --format")


def is_folder(out: str) -> bool:
    """Whether --out names a folder: one that is there, or a name that ends in a slash."""
    return out.endswith(("/", os.sep)) or os.path.isdir(out)


def look_for(out: str | None, units: Units = "inch-pound") -> Look:
    """Colour and the terminal's width where a terminal reads, or as wide as COLUMNS says; else paper's, no colour."""
    if out is not None or sys.stdout is None:
        return Look(units=units)
    columns = PAPER
    if sys.stdout.isatty() or os.environ.get("COLUMNS", "").isdigit():
        columns = min(max(shutil.get_terminal_size().columns, _NARROWEST), _WIDEST)
    return Look(columns, paint_for(sys.stdout, os.environ), units=units)


def deliver(results: Sequence[Result], arguments: Namespace, look: Look) -> None:
    """Render and write. Raises Trouble."""
    form = format_of(arguments)
    if arguments.out is None:
        to_stdout(render(results, form, look))
    elif is_folder(arguments.out):
        to_files(_one_a_list(results, form, Path(arguments.out), look))
    else:
        to_files({Path(arguments.out): render(results, form, replace(look, paint=no_paint))})


def _one_a_list(results: Sequence[Result], form: Format, folder: Path, look: Look) -> dict[Path, str | bytes]:
    """`bill.csv`, and of each of several files `gallery-bill.csv`; findings, where the command shows them, too."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Trouble(f"cannot make the folder `{folder}`: {(error.strerror or '').lower()}") from error
    texts: dict[Path, str | bytes] = {}
    for result, stem in zip(results, _stems(results), strict=True):
        parts = [(table.name, replace(result, findings=(), tables=(table,))) for table in result.tables]
        if look.findings:
            parts.insert(0, ("findings", replace(result, tables=())))
        for name, part in parts:
            path = folder / f"{stem}{name}{FORMATS[form][0]}"
            if path in texts:
                raise Trouble(f"two files would both be written to `{path}`; take them off one at a time")
            texts[path] = render([part], form, replace(look, findings=name == "findings", sum=name == "findings"))
    return texts


def _stems(results: Sequence[Result]) -> list[str]:
    """What tells the files of several inputs apart: their path below the folder they share. Nothing for the job."""
    if len(results) == 1:
        return [""]
    folders = [os.path.dirname(os.path.abspath(r.file)) for r in results if not r.of_job]
    shared = os.path.commonpath(folders)

    def stem(result: Result) -> str:
        path = PurePath(os.path.relpath(os.path.abspath(result.file), shared)).with_suffix("")
        return "-".join(path.parts) + "-"

    return ["" if result.of_job else stem(result) for result in results]
