"""What is answered at all: GET alone, from this machine's own names, and what a browser may do with an answer.

The Host header is checked so that a page elsewhere cannot read this one under a name of its own that leads here (DNS
rebinding); the policy is Content Security Policy Level 3.
"""

from __future__ import annotations

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_NAMES = ("127.0.0.1", "localhost", "[::1]")
_HTTP_PORT = 80

HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src data:; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}


class Guard:
    """Around an application that listens on `port`: refuses what is not ours to answer, and adds the headers."""

    def __init__(self, app: ASGIApp, port: int) -> None:
        self._app = app
        self._hosts = {f"{name}:{port}".encode() for name in _NAMES}
        if port == _HTTP_PORT:
            self._hosts |= {name.encode() for name in _NAMES}
        self._origins = {b"http://" + host for host in self._hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [
                    *message["headers"],
                    *((name.encode(), value.encode()) for name, value in HEADERS.items()),
                ]
            await send(message)

        refused = self._refused(scope)
        await (refused or self._app)(scope, receive, with_headers)

    def _refused(self, scope: Scope) -> PlainTextResponse | None:
        hosts = [value.lower() for name, value in scope["headers"] if name == b"host"]
        if len(hosts) != 1 or hosts[0] not in self._hosts:
            return PlainTextResponse("This page is for this machine alone.\n", 403)
        origins = [value.lower() for name, value in scope["headers"] if name == b"origin"]
        if any(origin not in self._origins for origin in origins):
            return PlainTextResponse("This page is not for other pages.\n", 403)
        if scope["method"] != "GET":
            return PlainTextResponse("There is nothing to do here but look.\n", 405, {"allow": "GET"})
        return None
