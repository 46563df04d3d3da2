"""Serves the page on this machine until it is interrupted."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Callable
from contextlib import suppress

import uvicorn

from dictate.errors import StorageError
from dictate.web.app import make_app
from dictate.web.desk import Desk
from dictate.web.guard import LONGEST_HEAD, new_token

#: Connections at once; windows and their sound need a few.
_MOST_CONNECTIONS = 128


def serve(
    desk: Desk,
    ready: Callable[[str, str], None],
    begin: Callable[[], None],
    port: int = 0,
) -> None:
    """Serve until interrupted.

    Args:
        desk: The examination.
        ready: Called once the page answers, with its address and with one that leads to it a
            single time.
        begin: Called after that (a recording begins to be read).
        port: Where; 0 for any that is free.

    Raises:
        DictateError: The port is taken; or the examination cannot be opened.
    """
    listening = _listen(port)
    port = listening.getsockname()[1]
    token = new_token()
    guard = make_app(desk, token, port)
    origin = f"http://127.0.0.1:{port}"

    def started() -> None:
        ready(f"{origin}/{token}/", origin + guard.once())
        begin()

    server = _Server(
        uvicorn.Config(
            guard,
            log_config=None,
            access_log=False,
            server_header=False,
            date_header=False,
            proxy_headers=False,
            ws="none",
            http="h11",  # which keeps to the length of a head
            h11_max_incomplete_event_size=LONGEST_HEAD,
            limit_concurrency=_MOST_CONNECTIONS,
            timeout_graceful_shutdown=2,
        ),
        desk,
        started,
    )
    try:
        with suppress(KeyboardInterrupt):
            asyncio.run(server.serve(sockets=[listening]))
    finally:
        listening.close()
    if desk.failed is not None:
        raise desk.failed


def _listen(port: int) -> socket.socket:
    """A socket that only this machine can reach."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        found.bind(("127.0.0.1", port))
    except OSError as fault:
        found.close()
        raise StorageError(f"The port {port} cannot be used: {fault.strerror}.") from None
    return found


class _Server(uvicorn.Server):
    """Tells when it answers, and lets windows that wait go when it ends."""

    def __init__(self, config: uvicorn.Config, desk: Desk, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._desk, self._ready = desk, ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to answer."""
        await super().startup(sockets)
        threading.Thread(target=self._ready, name="ready", daemon=True).start()

    async def on_tick(self, counter: int) -> bool:
        """Whether to end: also where there will never be anything to show."""
        return await super().on_tick(counter) or self._desk.failed is not None

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End; those who wait for changes are let go first."""
        await self._desk.end()
        await super().shutdown(sockets)
