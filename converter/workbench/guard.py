"""What stands between the workbench and all else that can reach a port of this machine.

A page from elsewhere can make a browser send requests here, and can give this machine's address another name (DNS
rebinding). So every request must name this machine, come from this page, and know the token in the page's address.
"""

import hmac
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from typing import Any

from starlette.exceptions import HTTPException

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BYTES = 2_000_000  # of a request; a figure of a thousand corners has 40,000
NAMES = ("127.0.0.1", "localhost")
# Nothing from outside, nothing inline, in no other page's frame. Blobs are the PDFs and pictures made here.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "referrer-policy": "no-referrer",  # the address has the token
    "x-content-type-options": "nosniff",
    "cache-control": "no-store",
}


class Guard:
    """Lets through what knows the ``token``, and tells the app behind it the path without the token.

    ``larger``: how many bytes a request to a path may have, where that is more than :data:`MOST_BYTES`.
    """

    def __init__(self, app: App, token: str, port: int, larger: Mapping[str, int]) -> None:
        self._app, self._token, self._larger = app, token.encode("ascii"), larger
        self._hosts = {f"{name}:{port}" for name in NAMES}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers a request itself, or lets it through."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":  # nothing here speaks over a socket
            await send({"type": "websocket.close", "code": 1008})
            return
        headers = [(name.lower(), value) for name, value in scope["headers"]]
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            await _refuse(send, *refusal)
            return
        path = self._inner(scope["path"])
        await self._pass({**scope, "path": path, "raw_path": path.encode()}, receive, send)

    def _refusal(self, scope: Scope, headers: list[tuple[bytes, bytes]]) -> tuple[int, str] | None:
        hosts = [value.decode("latin-1") for name, value in headers if name == b"host"]
        if len(hosts) != 1 or hosts[0] not in self._hosts:
            return 421, "This is not the name of the machine that was opened."
        for value in (value.decode("latin-1") for name, value in headers if name == b"origin"):
            if value != f"http://{hosts[0]}":
                return 403, "Another page asks."
        sites = [value for name, value in headers if name == b"sec-fetch-site"]
        if any(site not in (b"same-origin", b"none") for site in sites):
            return 403, "Another page asks."
        changes = scope["method"] not in ("GET", "HEAD")
        if changes and not any(name == b"origin" for name, _ in headers):
            return 403, "Only the page itself may change anything."
        if not _is_plain(scope["path"]) or not self._knows_token(scope["path"]):
            return 404, "There is nothing here. Open the address that the command shows."
        most = self._most(scope["path"])
        for size in (value for name, value in headers if name == b"content-length"):
            if not size.isdigit() or len(size) > 15 or int(size) > most:
                return 413, "Too large."
        return None

    def _knows_token(self, path: str) -> bool:
        given, slash, _ = path[1:].partition("/")
        return bool(slash) and hmac.compare_digest(given.encode("utf-8", "replace"), self._token)

    def _inner(self, path: str) -> str:
        return path[1 + len(self._token) :]

    def _most(self, path: str) -> int:
        return self._larger.get(self._inner(path), MOST_BYTES)

    async def _pass(self, scope: Scope, receive: Receive, send: Send) -> None:
        most, got = self._larger.get(scope["path"], MOST_BYTES), 0

        async def bounded() -> Message:
            nonlocal got
            message = await receive()
            got += len(message.get("body", b""))
            if got > most:
                raise HTTPException(413, "Too large.")
            return message

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {name.lower() for name, _ in message["headers"]}
                more = [(n.encode(), v.encode()) for n, v in HEADERS.items() if n.encode() not in own]
                message = {**message, "headers": [*message["headers"], *more]}
            await send(message)

        await self._app(scope, bounded, with_headers)


def _is_plain(path: str) -> bool:
    return path.startswith("/") and not any(
        part in (".", "..") or set(part) & set("\\\0") for part in path.split("/")
    )


async def _refuse(send: Send, status: int, text: str) -> None:
    body = f"{text}\n".encode()
    headers = [(n.encode(), v.encode()) for n, v in HEADERS.items()]
    headers += [(b"content-type", b"text/plain; charset=utf-8"), (b"connection", b"close")]
    headers.append((b"content-length", str(len(body)).encode()))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
