"""A pack onto the disk: whole, or as it was before."""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Mapping
from pathlib import Path

from ..report.trouble import Trouble
from ..report.write import to_files
from .everything import RECORD

#: What a pack's files are called; nothing else in its folder is ever taken away.
_OURS = re.compile(r"(drawings/[0-9a-z-]+\.svg|lists/[a-z-]+\.csv|index\.html|pack\.pdf|lists\.xlsx|job\.json)")


def put(files: Mapping[str, bytes], folder: Path) -> None:
    """Write all files of a pack, or leave everything as it was; then take away what an earlier pack left over.

    Raises Trouble for what cannot be written, and where a file would be written over that is of no pack.
    """
    before = _recorded(folder)
    if before is None:
        there = [name for name in files if (folder / name).exists()]
        if there:
            raise Trouble(f"`{folder / there[0]}` is there and is of no pack; name another folder")
    made = _folders(folder, files)
    try:
        to_files({folder / name: data for name, data in files.items()})
    except BaseException:
        for one in reversed(made):
            with contextlib.suppress(OSError):
                one.rmdir()
        raise
    for name in (before or set()) - set(files):
        with contextlib.suppress(OSError):
            (folder / name).unlink()


def _recorded(folder: Path) -> set[str] | None:
    """The files that the pack in a folder is made of; None if there is no pack."""
    try:
        data = json.loads((folder / RECORD).read_bytes())
        names = [*data["files"]] if data["coilwright"] else []
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return {name for name in names if isinstance(name, str) and _OURS.fullmatch(name)}


def _folders(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Make the folders that are not there; those that were made, the outer ones first."""
    made: list[Path] = []
    try:
        for wanted in sorted({folder, *((folder / name).parent for name in files)}):
            missing = [one for one in (wanted, *wanted.parents) if not one.exists()]
            for one in reversed(missing):
                one.mkdir()
                made.append(one)
    except OSError as error:
        raise Trouble(f"cannot make the folder `{error.filename}`: {(error.strerror or '').lower()}") from error
    return made
