"""Who may speak to the page: this machine, this page, whoever has the address. Closed by default.

The checks, in this order: the connection comes from this machine; the host that was asked for is
ours (a name that was made to point here is not, so another site cannot reach the page through it);
the path begins with a secret that cannot be guessed; no other page sent it (Origin,
Sec-Fetch-Site); a change is a POST of JSON; the body is short. Header names: RFC 9110 and 6454,
Fetch Metadata and Content Security Policy Level 3 (W3C).
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: Bytes of a request's body; the longest that the page sends is a corrected utterance.
LONGEST_BODY = 64 * 1024
#: Bytes of a request's head.
LONGEST_HEAD = 16 * 1024
#: Addresses of this machine.
_HERE = ("127.0.0.1", "::1", "localhost")

#: Nothing from outside, no code in the page, no frame around it, nowhere to send a form.
POLICY = "; ".join(
    [
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "media-src 'self'",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
        "require-trusted-types-for 'script'",
        "trusted-types 'none'",
    ]
)
HEADERS = (
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), microphone=(), geolocation=(), usb=()"),
    ("cache-control", "no-store"),
)


def new_token() -> str:
    """A secret of 256 bits for the page's address, in letters that an address may hold."""
    return secrets.token_urlsafe(32)


class Guard:
    """Stands before the application and hands on what passes."""

    def __init__(self, app: ASGIApp, token: str, port: int) -> None:
        """Guard an application.

        Args:
            app: What is guarded.
            token: The first part of every path.
            port: Where it is served.
        """
        self._app, self._token = app, token
        self._once: str | None = None
        self._hosts = {f"{name}:{port}" for name in ("127.0.0.1", "localhost")}

    def once(self) -> str:
        """A path that leads to the page a single time: for a browser's command line, which others
        on this machine can see."""
        self._once = new_token()
        return f"/{self._once}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # there are no web sockets here
        if self._once is not None and scope["path"] == f"/{self._once}":
            self._once = None
            await _lead(send, f"/{self._token}/")
            return
        refused = self._refusal(scope)
        if refused is not None:
            await _refuse(send, *refused)
            return
        body = _Body(receive)

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = _with_headers(message.get("headers", ()))
            await send(message)

        if scope["method"] == "POST" and not await body.read():
            await _refuse(send, 413, "That is too long. Send less at once.")
            return
        await self._app(scope, body.receive, sending)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.lower(), []).append(value)
        client = scope.get("client")
        if client is None or client[0] not in _HERE:
            return 403, "This page is for this machine alone."
        if sum(len(name) + len(value) for name, value in scope["headers"]) > LONGEST_HEAD:
            return 431, "That is too long. Send less at once."
        host = [value.decode("latin-1") for value in headers.get(b"host", [])]
        if len(host) != 1 or host[0] not in self._hosts:
            return 421, "This page has another address. Use the one that was printed."
        if not self._has_token(scope["path"]):
            return 403, "The address lacks its secret part. Use the whole address."
        if not self._from_our_page(headers, host[0], scope["method"]):
            return 403, "Another page sent this. Nothing was done."
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "That cannot be done here."
        if scope["method"] == "POST":
            kind = headers.get(b"content-type", [b""])[0].split(b";")[0].strip().lower()
            if kind != b"application/json":
                return 415, "What is sent must be JSON."
            length = headers.get(b"content-length", [b"0"])[0]
            if not length.isdigit() or int(length) > LONGEST_BODY:
                return 413, "That is too long. Send less at once."
        return None

    def _has_token(self, path: str) -> bool:
        first = path.removeprefix("/").split("/")[0]
        return secrets.compare_digest(first.encode(), self._token.encode())

    def _from_our_page(self, headers: dict[bytes, list[bytes]], host: str, method: str) -> bool:
        """Browsers say where a request comes from; a change must come from our own page."""
        ours = f"http://{host}".encode()
        origins = headers.get(b"origin", [])
        sites = headers.get(b"sec-fetch-site", [])
        if any(origin != ours for origin in origins):
            return False
        if any(site not in (b"same-origin", b"none") for site in sites):
            return False
        return method in ("GET", "HEAD") or bool(origins)


class _Body:
    """A request's body, read at once and never more of it than is allowed."""

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self._read: list[Message] = []

    async def read(self) -> bool:
        """Read it; False where it is too long."""
        size = 0
        while True:
            message = await self._receive()
            self._read.append(message)
            size += len(message.get("body", b""))
            if size > LONGEST_BODY:
                return False
            if message["type"] != "http.request" or not message.get("more_body"):
                return True

    async def receive(self) -> Message:
        """Hand on what was read, then whatever comes."""
        return self._read.pop(0) if self._read else await self._receive()


def _with_headers(headers: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    ours = [(name.encode(), value.encode()) for name, value in HEADERS]
    names = {name for name, _ in ours}
    return [*((name, value) for name, value in headers if name.lower() not in names), *ours]


async def _refuse(send: Send, status: int, sentence: str) -> None:
    body = json.dumps({"sentence": sentence}).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": _with_headers(headers)})
    await send({"type": "http.response.body", "body": body})


async def _lead(send: Send, path: str) -> None:
    headers = [(b"location", path.encode()), (b"content-length", b"0")]
    await send({"type": "http.response.start", "status": 303, "headers": _with_headers(headers)})
    await send({"type": "http.response.body", "body": b""})
