"""Where the text of files comes from: the disk, or a dictionary in tests and editors."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import Protocol

#: A file larger than this is no hookup. Bytes.
LARGEST = 4_000_000


class Unreadable(Exception):
    """Why a file cannot be read, in words for its user."""


class Reader(Protocol):
    """Gives the text of a file."""

    def read(self, path: str) -> str:
        """The text of `path`; raises Unreadable."""

    def inside(self, path: str, of: str) -> bool:
        """Whether `path`, links followed, lies in the folder of the file `of`."""


class DiskReader:
    """Reads files from disk."""

    def read(self, path: str) -> str:
        """The text of a file of at most `LARGEST` bytes of UTF-8."""
        try:
            with open(path, "rb") as file:
                data = file.read(LARGEST + 1)
        except OSError as error:
            raise Unreadable(f"cannot be read: {(error.strerror or str(error)).lower()}") from None
        except ValueError:  # characters that no file name has
            raise Unreadable("cannot be read: no such file") from None
        return decoded(data)

    def inside(self, path: str, of: str) -> bool:
        """Whether the real place of `path` lies in the real folder of `of`."""
        try:
            folder = Path(os.path.realpath(of)).parent
            return Path(os.path.realpath(path)).is_relative_to(folder)
        except (OSError, ValueError):  # a ring of links; characters that no file name has
            return False


class DictReader:
    """Reads files from a dictionary of path to text."""

    def __init__(self, files: Mapping[str, str]) -> None:
        self.files = files

    def read(self, path: str) -> str:
        """The text under a path."""
        if path not in self.files:
            raise Unreadable("cannot be read: no such file")
        return self.files[path]

    def inside(self, path: str, of: str) -> bool:
        """Whether the path, as written, lies in the folder of `of`."""
        return PurePosixPath(path).is_relative_to(PurePosixPath(of).parent) and ".." not in PurePosixPath(path).parts


def decoded(data: bytes) -> str:
    """Bytes as text; raises Unreadable for what is too large or no text."""
    if len(data) > LARGEST:
        raise Unreadable(f"is larger than {LARGEST // 1_000_000} MB, which no hookup is")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Unreadable("is UTF-16 text; save it as UTF-8")
    if b"\0" in data:
        raise Unreadable("is not a text file")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Unreadable(f"is not UTF-8 text (a character on line {line} is not); save it as UTF-8") from None
