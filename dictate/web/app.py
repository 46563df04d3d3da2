"""The page's server: what is shown, what is to be done, sound with ranges, and what changes.

Nothing here knows a rule of the examination: every request is one call of ``Examination``.
"""

from __future__ import annotations

import asyncio
import contextlib
import functools
import json
from collections.abc import AsyncIterator, Awaitable, Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import (
    FileResponse,
    HTMLResponse,
    JSONResponse,
    Response,
    StreamingResponse,
)
from starlette.routing import Mount, Route

from dictate.errors import DictateError, InputError, StorageError
from dictate.render import RENDERERS
from dictate.web.desk import MOST_WATCHERS, Desk
from dictate.web.guard import Guard
from dictate.web.media import media_type
from dictate.web.requests import ACTIONS
from dictate.web.shown import choices

#: A sign of life to who waits, so that both sides notice when the other has gone (seconds).
_ALIVE_S = 10.0
_STATIC = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
Endpoint = Callable[[Request], Awaitable[Response]]


def make_app(desk: Desk, token: str, port: int) -> Guard:
    """Put the server together, behind its guard.

    Args:
        desk: The examination.
        token: The secret part of its address.
        port: Where it will be served.
    """
    pages = _Pages(desk)
    routes = [
        Route("/", pages.review),
        Route("/show", pages.show),
        Route("/static/{name}", _static),
        Route("/state", pages.state),
        Route("/events", pages.events),
        Route("/choices/{key}", pages.choices),
        Route("/peaks/{level:int}/{number:int}", pages.peaks),
        Route("/sound", pages.sound),
        Route("/output/{name}", pages.output),
        Route("/do/{action}", pages.do, methods=["POST"]),
    ]

    @contextlib.asynccontextmanager
    async def life(_: Starlette) -> AsyncIterator[None]:
        desk.begin()
        looking = asyncio.create_task(desk.look())
        yield
        looking.cancel()

    app = Starlette(
        routes=[Mount(f"/{token}", routes=routes)],
        exception_handlers={HTTPException: _no_such_thing, Exception: _fault},
        lifespan=life,
    )
    app.router.redirect_slashes = False
    return Guard(app, token, port)


class _Pages:
    """The endpoints of one desk."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._templates = Environment(
            loader=PackageLoader("dictate.web"),
            autoescape=select_autoescape(default=True),
            undefined=StrictUndefined,
        )

    def _page(self, request: Request, name: str) -> Response:
        root = request.scope["root_path"]
        return HTMLResponse(self._templates.get_template(name).render(root=root))

    async def review(self, request: Request) -> Response:
        return self._page(request, "review.html")

    async def show(self, request: Request) -> Response:
        return self._page(request, "show.html")

    async def state(self, request: Request) -> Response:
        return Response(await self._desk.state(), media_type="application/json")

    async def choices(self, request: Request) -> Response:
        key = str(request.path_params["key"])
        found = await self._desk.run(lambda one: choices(one, key))
        if found is None:
            raise HTTPException(404, "There is no such finding (any more).")
        return JSONResponse(found)

    async def peaks(self, request: Request) -> Response:
        try:
            tile = self._desk.peaks.tile(**request.path_params)
        except (ValueError, OverflowError):
            raise HTTPException(404, "There is no such part of the recording.") from None
        return Response(tile, media_type="application/octet-stream")

    async def sound(self, request: Request) -> Response:
        path = self._desk.situation.sound  # nothing is waited for: it plays during a long deed
        if path is None:
            raise HTTPException(404, "There is no recording.")
        return FileResponse(path, media_type=media_type(path))

    async def output(self, request: Request) -> Response:
        renderer = RENDERERS.get(str(request.path_params["name"]))
        if renderer is None:
            raise HTTPException(404, "There is no such output.")
        try:
            content = await self._desk.run(lambda one: renderer.function(one.record(), one.grammar))
        except InputError as fault:
            raise HTTPException(404, str(fault)) from None
        name = f"{renderer.name}{renderer.ending}"
        headers = {"content-disposition": f'attachment; filename="{name}"'}
        kind = "text/vtt" if renderer.ending == ".vtt" else "application/octet-stream"
        return Response(content, media_type=kind, headers=headers)

    async def do(self, request: Request) -> Response:
        action = ACTIONS.get(str(request.path_params["action"]))
        if action is None:
            raise HTTPException(404, "That cannot be done here.")
        try:
            wanted = action.shape.model_validate_json(await request.body())
        except ValidationError:
            raise HTTPException(422, "That was not understood. Nothing was done.") from None
        try:
            await self._desk.run(functools.partial(_call, action.does, wanted))
        except StorageError as fault:
            raise HTTPException(507, str(fault)) from None
        except DictateError as fault:
            raise HTTPException(409, str(fault)) from None
        return JSONResponse({"version": self._desk.version})

    async def events(self, request: Request) -> Response:
        if self._desk.watchers >= MOST_WATCHERS:
            raise HTTPException(503, "Too many windows look at this examination. Close some.")
        stream = self._changes()
        return StreamingResponse(stream, media_type="text/event-stream")

    async def _changes(self) -> AsyncIterator[str]:
        desk, turn = self._desk, -1
        desk.watchers += 1
        try:
            while not desk.over:
                new = await desk.change_after(turn, _ALIVE_S)
                if new == turn:
                    yield ": alive\n\n"
                    continue
                turn = new
                yield f"event: changed\ndata: {json.dumps(self._news())}\n\n"
        finally:
            desk.watchers -= 1

    def _news(self) -> dict[str, Any]:
        now = self._desk.situation
        return {
            "version": self._desk.version,
            "reading": now.reading,
            "words": now.words,
            "listening": now.listening,
            "trouble": now.trouble,
            "seconds": now.seconds,
            "sound": now.sound is not None,
        }


def _call(does: Callable[[Any, Any], object], wanted: Any, examination: Any) -> None:
    does(examination, wanted)


async def _static(request: Request) -> Response:
    name = str(request.path_params["name"])
    content = _files().get(name)
    if content is None:
        raise HTTPException(404, "There is no such file.")
    return Response(content, media_type=_STATIC[Path(name).suffix])


@functools.cache
def _files() -> dict[str, bytes]:
    """The page's own files, by name; a name that is none of them is no path to anything."""
    folder = files("dictate.web") / "static"
    return {
        one.name: one.read_bytes() for one in folder.iterdir() if Path(one.name).suffix in _STATIC
    }


async def _no_such_thing(_: Request, fault: Exception) -> Response:
    assert isinstance(fault, HTTPException)
    return JSONResponse({"sentence": fault.detail}, fault.status_code, headers=fault.headers)


async def _fault(_: Request, fault: Exception) -> Response:
    """An error of the program: said, without a word of the examination."""
    sentence = f"The program has a fault ({type(fault).__name__}). Nothing was lost."
    return JSONResponse({"sentence": sentence}, 500)
