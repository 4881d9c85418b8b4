"""Work that is done beside other work, by a second processor where the system lets a process be doubled."""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable
from typing import Generic, Self, TypeVar

T = TypeVar("T")


class Aside(Generic[T]):
    """Begins `work` in a copy of this process, on Linux and where this one has no other threads, which a copy would
    lack. Elsewhere, and where the copy comes to grief, the work is done here when it is asked for: the same comes of
    it either way. What it gives must be fit for pickling."""

    def __init__(self, work: Callable[[], T]) -> None:
        self._work = work
        self._child = 0
        if sys.platform != "linux" or threading.active_count() > 1 or (os.cpu_count() or 1) < 2:
            return
        reading, writing = os.pipe()
        sys.stdout.flush()
        sys.stderr.flush()
        self._child = os.fork()
        if self._child:
            os.close(writing)
            self._reading = reading
            return
        try:  # from here on the copy, which must not come back from this
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            os.close(reading)
            with os.fdopen(writing, "wb") as stream:
                stream.write(pickle.dumps(work(), pickle.HIGHEST_PROTOCOL))
            os._exit(0)
        finally:
            os._exit(1)

    def result(self) -> T:
        """What comes of the work; to be asked for once. Raises what the work raises."""
        if not self._child:
            return self._work()
        with os.fdopen(self._reading, "rb") as stream:
            data = stream.read()
        _, status = os.waitpid(self._child, 0)
        self._child = 0
        if status:
            return self._work()
        made: T = pickle.loads(data)
        return made

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.drop()

    def drop(self) -> None:
        """End it, if nobody has asked for its result."""
        if self._child:
            with contextlib.suppress(OSError):
                os.kill(self._child, signal.SIGKILL)
                os.waitpid(self._child, 0)
            with contextlib.suppress(OSError):
                os.close(self._reading)
            self._child = 0
