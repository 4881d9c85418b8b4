"""How far a long run has come, on a terminal: one line that is written over, and gone when the run is done."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import TextIO

#: A run that is done sooner than this says nothing. Seconds.
_QUIET_FOR = 1.0
#: Not more often than this. Seconds.
_EVERY = 0.1


class Progress:
    """Writes to standard error where that is a terminal, unless it is to be `quiet`; takes its line away at the end."""

    def __init__(self, quiet: bool) -> None:
        stream = sys.stderr
        self._stream: TextIO | None = stream if stream is not None and stream.isatty() and not quiet else None
        self._next = time.monotonic() + _QUIET_FOR
        self._shown = 0

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        if self._stream is not None and self._shown:
            self._write(self._stream, "")

    def files(self, done: int, of: int) -> None:
        """So many files are compiled."""
        self._tell(f"{done} of {of} files")

    def lists(self, done: int, of: int) -> None:
        """So many lists are made."""
        self._tell(f"{done} of {of} lists")

    def _tell(self, text: str) -> None:
        if self._stream is not None and time.monotonic() >= self._next:
            self._write(self._stream, text)
            self._next = time.monotonic() + _EVERY

    def _write(self, stream: TextIO, text: str) -> None:
        stream.write(f"\r{text:<{self._shown}}" + ("" if text else "\r"))
        stream.flush()
        self._shown = len(text)
