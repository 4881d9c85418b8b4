"""The four addresses: the page, its script, its style and its events. None leads to a file of the disk."""

from __future__ import annotations

from collections.abc import AsyncIterator
from importlib.resources import files

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp

from .guard import Guard
from .making import Maker
from .state import Feed


def application(maker: Maker, feed: Feed, port: int) -> ASGIApp:
    """What answers on `port`: the newest page of `maker`, and the states of `feed` as they come."""
    script = (files(__package__) / "live.js").read_bytes()
    style = (files(__package__) / "live.css").read_bytes()

    async def page(_: Request) -> Response:
        return Response(maker.html, media_type="text/html")

    async def live_script(_: Request) -> Response:
        return Response(script, media_type="text/javascript")

    async def live_style(_: Request) -> Response:
        return Response(style, media_type="text/css")

    async def events(_: Request) -> Response:
        return StreamingResponse(_lines(feed), media_type="text/event-stream")

    routes = (("/", page), ("/live.js", live_script), ("/live.css", live_style), ("/events", events))
    return Guard(Starlette(routes=[Route(path, answer, methods=["GET"]) for path, answer in routes]), port)


async def _lines(feed: Feed) -> AsyncIterator[str]:
    yield "retry: 500\n\n"
    async for state in feed.states():
        yield state.event()
