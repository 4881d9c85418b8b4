"""Runs the live page: a socket on loopback, the server, and one loop that compiles what was saved."""

from __future__ import annotations

import asyncio
import errno
import gc
import os
import socket
import sys
from collections.abc import Callable, Sequence

import uvicorn
from starlette.types import ASGIApp

from ..pack import Options
from ..report.trouble import Trouble
from .app import application
from .making import Inputs, Maker
from .state import Feed
from .watching import changes

_LOOPBACK = "127.0.0.1"
_ENDING = ".hookup"
_DONE = object()


class Live:
    """One job, shown and kept up to date. `port` 0 takes a free one."""

    def __init__(
        self, find: Callable[[], Inputs], folder: str, *, below: bool, port: int, options: Options | None = None
    ) -> None:
        self._folder = folder
        self._below = below
        self.maker = Maker(find, folder, options or Options())
        self._socket = _listening(port)
        self.port: int = self._socket.getsockname()[1]

    @property
    def address(self) -> str:
        """What to open in a browser."""
        return f"http://{_LOOPBACK}:{self.port}/"

    async def run(self, ready: Callable[[], None]) -> None:
        """Serve until stopped; `ready` is called when the first page is there."""
        await asyncio.to_thread(self._first)
        feed = Feed(self.maker.state)
        stop = asyncio.Event()

        def stopping() -> None:
            feed.close()
            stop.set()

        server = _Server(application(self.maker, feed, self.port), stopping)
        watching = asyncio.create_task(self._watch(feed, stop))
        ready()
        try:
            await server.serve([self._socket])
        finally:
            stopping()
            await watching

    def close(self) -> None:
        """Let the port go."""
        self._socket.close()

    def _first(self) -> None:
        self.maker.compile()
        for _ in self.maker.make():
            pass
        gc.collect()
        gc.freeze()  # the tables and the language stay; what a save leaves behind is looked for after each one

    async def _watch(self, feed: Feed, stop: asyncio.Event) -> None:
        maker = self.maker
        found = changes(self._folders, below=self._below, ours=self._ours, glance=maker.changed, stop=stop)
        async for _ in found:
            try:
                if await asyncio.to_thread(maker.compile):
                    feed.put(maker.state)  # what was found is told before the page is made
                    pages = maker.make()
                    while await asyncio.to_thread(next, pages, _DONE) is not _DONE:
                        feed.put(maker.state)
                    await asyncio.to_thread(gc.collect)
            except Exception as error:
                said = f"this is our bug, not a mistake in your file: {type(error).__name__}: {error}"
                print(f"coilwright: {said}", file=sys.stderr)
                maker.failed(said)
                feed.put(maker.state)

    def _folders(self) -> Sequence[str]:
        """The folder with all below it, or only the folders of the files that are read."""
        if self._below:
            return [self._folder]
        return [self._folder, *(os.path.dirname(os.path.realpath(path)) for path in self.maker.asked)]

    def _ours(self, path: str) -> bool:
        """Whether a change of this file can change the page."""
        if (self._below and path.endswith(_ENDING)) or os.path.isdir(path):
            return True
        return os.path.realpath(path) in {os.path.realpath(asked) for asked in list(self.maker.asked)}


class _Server(uvicorn.Server):
    """Ends the streams of events when it is told to stop, as it waits for every answer to be complete."""

    def __init__(self, app: ASGIApp, stopping: Callable[[], None]) -> None:
        super().__init__(
            uvicorn.Config(
                app,
                loop="asyncio",
                http="h11",
                ws="none",
                lifespan="off",
                log_level="error",
                access_log=False,
                server_header=False,
                timeout_graceful_shutdown=2,
            )
        )
        self._stopping = stopping

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End the streams first."""
        self._stopping()
        await super().shutdown(sockets)


def _listening(port: int) -> socket.socket:
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":  # there it would let two programs share a port
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((_LOOPBACK, port))
        made.listen(64)
    except OSError as error:
        made.close()
        if error.errno == errno.EADDRINUSE:
            raise Trouble(f"port {port} is in use; name another one with --port, or 0 for any that is free") from None
        raise Trouble(f"cannot listen on port {port}: {(error.strerror or str(error)).lower()}") from None
    return made
