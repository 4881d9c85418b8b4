"""Writing what came out: to standard output, or to files that are either whole or as they were."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import tempfile
import threading
from collections.abc import Iterator, Mapping
from pathlib import Path

from .trouble import Trouble


def to_stdout(text: str | bytes) -> None:
    """Write and flush, as UTF-8 with line ends as they are; a terminal gets its own encoding, and no bytes.

    Raises BrokenPipeError when nobody reads any more, Trouble when the output cannot be written.
    """
    stream = sys.stdout
    if stream is None:
        raise Trouble("there is no standard output to write to")
    on_screen = stream.isatty() or not hasattr(stream, "buffer")
    if on_screen and isinstance(text, bytes):
        raise Trouble("a workbook is nothing for a terminal; write it to a file, such as --out job.xlsx")
    try:
        if on_screen and isinstance(text, str):
            encoding = stream.encoding or "utf-8"
            stream.write(text.encode(encoding, "backslashreplace").decode(encoding))
        else:
            stream.flush()
            left = memoryview(_encoded(text))
            while left:  # an unbuffered standard output takes as much as it likes
                left = left[stream.buffer.write(left) :]
        stream.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        drop_stdout()
        raise Trouble(f"cannot write to standard output: {_reason(error)}") from error


def drop_stdout() -> None:
    """Let go of a standard output that takes nothing more, so that Python does not complain about it on the way out."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        sink = os.open(os.devnull, os.O_WRONLY)
        os.dup2(sink, sys.stdout.fileno())
        os.close(sink)


def to_files(texts: Mapping[Path, str | bytes]) -> None:
    """Write all files or none: each goes to a temporary file beside its place first, then all take their places.

    An interruption before they take their places leaves everything as it was; one while they do waits for the last.
    A link is followed, the rights of a file that is replaced are kept. A place that is no ordinary file (a pipe, a
    device) is written to directly. Raises Trouble.
    """
    staged: list[tuple[str, Path]] = []
    current = Path()
    try:
        for current, text in texts.items():
            target = Path(os.path.realpath(current))
            if target.exists() and not target.is_file():
                _write_through(target, text)
            else:
                staged.append((_stage(target, text), target))
        with _undisturbed():
            while staged:
                temporary, current = staged[0]
                os.replace(temporary, current)
                staged.pop(0)
    except OSError as error:
        raise Trouble(f"cannot write `{current}`: {_reason(error)}") from error
    finally:
        for temporary, _ in staged:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Let an interruption (Ctrl-C) wait until the block is done; only the main thread is ever interrupted."""
    handler = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or not callable(handler):
        yield
        return
    held: list[int] = []
    signal.signal(signal.SIGINT, lambda number, frame: held.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, handler)
    if held:
        handler(held[0], None)


def _write_through(target: Path, text: str | bytes) -> None:
    with open(target, "wb") as stream:
        stream.write(_encoded(text))


def _stage(target: Path, text: str | bytes) -> str:
    """A whole temporary file in the folder of `target`; gone again if it cannot be written."""
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(13, "the file is write-protected")
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:60]}.", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(_encoded(text))
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, target.stat().st_mode & 0o7777 if target.exists() else 0o666 & ~_umask())
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    return name


def _umask() -> int:
    """The process's mask for new files: it can only be read by setting it."""
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def _encoded(text: str | bytes) -> bytes:
    """UTF-8; a file name that is not Unicode shows its odd bytes as `\\udc..`. Bytes are what they are."""
    return text if isinstance(text, bytes) else text.encode("utf-8", "backslashreplace")


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
