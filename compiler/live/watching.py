"""Says when files may have changed: at once where the system tells, and by a glance now and then where it does not.

The glance is for folders that are taken away and put back, network drives, and what happens while watching starts.
"""

from __future__ import annotations

import asyncio
import os
import stat
from collections.abc import AsyncGenerator, AsyncIterator, Callable, Collection
from contextlib import aclosing, suppress

from watchfiles import Change, awatch

#: Between two glances; and how long after one change others are waited for, so that a save in several steps is one,
#: and how long at most. Milliseconds.
GLANCE, STEP, LONGEST = 1000, 15, 150


async def changes(
    folders: Callable[[], Collection[str]],
    *,
    below: bool,
    ours: Callable[[str], bool],
    glance: Callable[[], bool],
    stop: asyncio.Event,
) -> AsyncIterator[None]:
    """One item each time when something may be new, until `stop`.

    `folders`: those to watch now, `below` with their subfolders; `ours`: whether a file that changed matters; `glance`:
    whether something looks different.
    """
    while not stop.is_set():
        there = _there(folders())
        if there:
            try:
                async with aclosing(_watched([folder for folder, *_ in there], below, ours, stop)) as seen:
                    async for told in seen:
                        if told or glance():
                            yield
                        if _there(folders()) != there:
                            break
            except OSError:  # a folder went away between the look and the watch, or no more can be watched
                there = []
        if not there:
            await _pause(stop)
            if glance():
                yield


def _there(folders: Collection[str]) -> list[tuple[str, int, int]]:
    """Those of the folders that are there, each with what tells it from a later one of its name."""
    found = []
    for folder in sorted({os.path.realpath(folder) for folder in folders}):
        with suppress(OSError):
            about = os.stat(folder)
            if stat.S_ISDIR(about.st_mode):
                found.append((folder, about.st_dev, about.st_ino))
    return found


async def _watched(
    folders: Collection[str], below: bool, ours: Callable[[str], bool], stop: asyncio.Event
) -> AsyncGenerator[bool, None]:
    """True for a change that matters, False when it is time for a glance."""

    def matters(_: Change, path: str) -> bool:
        return ours(path)

    async for found in awatch(
        *folders,
        watch_filter=matters,
        debounce=LONGEST,
        step=STEP,
        rust_timeout=GLANCE,
        yield_on_timeout=True,
        stop_event=stop,
        recursive=below,
    ):
        yield bool(found)


async def _pause(stop: asyncio.Event) -> None:
    with suppress(TimeoutError):
        await asyncio.wait_for(stop.wait(), GLANCE / 1000)
