"""A live page in a process of its own."""

from __future__ import annotations

import contextlib
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

Serve = Callable[..., AbstractContextManager[tuple[str, "subprocess.Popen[str]"]]]


@pytest.fixture
def serve() -> Serve:
    """Starts `coilwright serve`; gives its address and process, and ends it."""

    @contextlib.contextmanager
    def started(path: Path, *words: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
        command = [sys.executable, "-m", "coilwright", "serve", str(path), "--port", "0", *words]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        try:
            assert process.stdout is not None
            line = process.stdout.readline()
            if "http://" not in line:
                process.terminate()
                pytest.fail(line + process.communicate()[1])
            yield line.split(" at ")[1].split()[0], process
        finally:
            process.terminate()
            process.communicate(timeout=30)

    return started
