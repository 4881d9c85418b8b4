"""Reads the files of one folder and nothing else, and remembers which were asked for."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from ..source.reader import DiskReader, Unreadable

#: What tells that a file may have changed: device, inode, time and size; None where there is none.
Mark = tuple[int, int, int, int] | None


class FolderReader:
    """A Reader of `folder`. `asked`: each path asked for, with its mark just before it was read."""

    def __init__(self, folder: str) -> None:
        self._folder = Path(os.path.realpath(folder))
        self._disk = DiskReader()
        self.asked: dict[str, Mark] = {}

    def read(self, path: str) -> str:
        """The text of an ordinary file whose real place, links followed, is in the folder; else raises Unreadable."""
        self.asked[path] = mark_of(path)
        if not self._within(path):
            raise Unreadable("lies outside the folder that is served")
        try:
            if not stat.S_ISREG(os.stat(path).st_mode):  # opening a pipe would wait for its writer
                raise Unreadable("is not a file")
        except (OSError, ValueError):
            pass  # the reader says what is wrong
        return self._disk.read(path)

    def inside(self, path: str, of: str) -> bool:
        """As for every reader, and in the folder that is served."""
        return self._within(path) and self._disk.inside(path, of)

    def _within(self, path: str) -> bool:
        try:
            return Path(os.path.realpath(path)).is_relative_to(self._folder)
        except (OSError, ValueError):  # a ring of links; characters that no file name has
            return False


def mark_of(path: str) -> Mark:
    """What is on disk under a path now."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino, found.st_mtime_ns, found.st_size
