"""From what stands on the command line to compiled files."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..model.nearest import nearest
from ..report.trouble import Trouble

if TYPE_CHECKING:
    from ..batch import Batch

ENDING = ".hookup"


@dataclass(frozen=True, slots=True)
class Input:
    """One file to compile. `path` is empty for standard input; `in_folder` is set where only its folder was named."""

    name: str
    path: str
    in_folder: bool = False


def compile_inputs(
    words: Sequence[str], stdin_name: str, today: str = "", progress: Callable[[int, int], None] | None = None
) -> Batch:
    """Every file named, each once, in the order named. `today` is held against dates that files give; empty: none.

    A file that only its folder brought in, and that another one reads by `use`, is a part of that one and does not
    stand alone. Raises Trouble for a file or folder that is not there and for a folder without hookups.
    """
    inputs = gather(words, stdin_name)
    from .. import compile_files

    return compile_files(
        [one.name for one in inputs],
        today=today,
        texts={one.name: stdin_text(one.name) for one in inputs if not one.path},
        parts={one.name for one in inputs if one.in_folder},
        progress=progress,
    )


def gather(words: Sequence[str], stdin_name: str) -> list[Input]:
    """The files that the words name; a file named twice is one."""
    found: dict[str, Input] = {}
    for word in words:
        for one in _named(word, stdin_name):
            key = _real(one.path) if one.path else ""
            if key not in found or not one.in_folder:
                found[key] = one
    return list(found.values())


def _named(word: str, stdin_name: str) -> Iterator[Input]:
    if word == "-":
        yield Input(stdin_name, "")
    elif os.path.isdir(word):
        files = sorted(_below(word))
        if not files:
            raise Trouble(f"the folder `{word}` holds no file whose name ends in {ENDING}")
        yield from (Input(file, file, True) for file in files)
    elif not os.path.lexists(word):
        raise Trouble(f"there is no file or folder `{word}`{_near(word)}")
    else:
        yield Input(word, word)


def _below(folder: str) -> Iterator[str]:
    """Every hookup file in a folder and its subfolders, those whose name begins with a dot left out."""

    def refuse(error: OSError) -> None:
        raise Trouble(f"cannot read the folder `{error.filename}`: {(error.strerror or '').lower()}")

    for where, folders, files in os.walk(folder, onerror=refuse):
        folders[:] = [name for name in folders if not name.startswith(".")]
        yield from (
            Path(where, name).as_posix() for name in files if name.endswith(ENDING) and not name.startswith(".")
        )


def _near(word: str) -> str:
    """`; the nearest name there is ...`, where the folder has a name like it."""
    folder, name = os.path.split(word)
    try:
        names = sorted(os.listdir(folder or "."))
    except OSError:
        return ""
    near = nearest(name, names)
    return f"; the nearest name there is `{os.path.join(folder, near)}`" if near else ""


def stdin_text(name: str) -> str:
    """The text of standard input, under the same conditions as a file's."""
    from ..source.reader import LARGEST, Unreadable, decoded

    if sys.stdin is None:
        raise Trouble("there is no standard input to read")
    try:
        return decoded(sys.stdin.buffer.read(LARGEST + 1))
    except Unreadable as error:
        raise Trouble(f"`{name}` {error}") from None


def _real(path: str) -> str:
    return os.path.realpath(path) if path else ""
