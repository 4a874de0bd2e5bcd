"""Who may use the desk: this computer's teacher, from the desk's own pages, and nobody else.

In: requests. Out: the same requests if they come from the teacher's browser, otherwise a short
answer. A link works once and gives the browser a cookie, so that no secret stays in the address
bar. Host and Origin are compared with the one address of the desk, which stops foreign pages and
names that were pointed at this computer (RFC 9110, 7.4 and 15.5.20; Fetch standard, "Origin").
"""

from __future__ import annotations

import secrets
from html import escape
from http.cookies import CookieError, SimpleCookie
from threading import Lock

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 64 * 1024
"""The longest body of a request; the forms of the desk are far shorter."""
_TOO_LONG = "The request is too long."
_REFUSED = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>The desk</title>
</head>
<body>
<main>
<h1>The desk</h1>
<p>{words}</p>
</main>
</body>
</html>
"""
"""Without style sheet: that of the desk is only for those who may use it."""
OPEN, LINK = "/open", "/link"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; object-src 'self'; form-action 'self'; frame-ancestors 'none'; "
    "base-uri 'none'"
)
_HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    # not no-referrer: Chromium then sends "Origin: null" with the desk's own forms
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


class Door:
    """The secrets of one running desk: links that work once, and the cookie that they give.

    ``again`` lets a second ``workbook desk`` ask the first for a link.
    """

    def __init__(self, port: int):
        self.port, self.again = port, secrets.token_urlsafe(32)
        self.cookie = f"workbook-desk-{port}"
        self._session = secrets.token_urlsafe(32)
        self._links: set[str] = set()
        self._lock = Lock()

    @property
    def host(self) -> str:
        return f"127.0.0.1:{self.port}"

    @property
    def origin(self) -> str:
        return f"http://{self.host}"

    def link(self) -> str:
        """A new address that opens the desk once."""
        token = secrets.token_urlsafe(32)
        with self._lock:
            self._links.add(token)
        return f"{self.origin}{OPEN}?once={token}"

    def opens(self, token: str) -> str:
        """The value of the cookie for a link that was not used, or ""; the link is used up."""
        with self._lock:
            if token not in self._links:
                return ""
            self._links.remove(token)
        return self._session

    def knows(self, headers: Headers) -> bool:
        """Whether a request has the cookie."""
        try:
            found = SimpleCookie(headers.get("cookie", "")).get(self.cookie)
        except CookieError:
            return False
        return found is not None and _same(found.value, self._session)

    def knows_again(self, headers: Headers) -> bool:
        """Whether a request comes from another ``workbook desk`` of the same user."""
        return _same(headers.get("authorization", ""), f"Bearer {self.again}")


def _same(given: str, secret: str) -> bool:
    return secrets.compare_digest(given.encode(), secret.encode())


class Guard:
    """Admits requests of the teacher's browser, and sets the headers of every response."""

    def __init__(self, app: ASGIApp, door: Door):
        self._app, self._door = app, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":  # the desk has no web sockets
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        refusal = self._refusal(scope["method"], scope["path"], Headers(scope=scope))
        if refusal is not None:
            await refusal(scope, receive, with_headers)
            return
        await self._app(scope, _bounded(receive), with_headers)

    def _refusal(self, method: str, path: str, headers: Headers) -> Response | None:
        """The answer to a request that the desk does not take, or None."""
        if headers.getlist("host") != [self._door.host]:
            return refused(421, "This is not the address of the desk.", headers)
        if method not in ("GET", "HEAD") and headers.getlist("origin") != [self._door.origin]:
            return refused(403, "This request did not come from a page of the desk.", headers)
        allowed = path == OPEN or (path == LINK and self._door.knows_again(headers))
        if not allowed and not self._door.knows(headers):
            words = "Open the desk with the link that “workbook desk” shows."
            return refused(401, words, headers)
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > MOST_BYTES:
            return refused(413, _TOO_LONG, headers)
        return None


def refused(status: int, words: str, headers: Headers) -> Response:
    """A response that needs nothing of the desk: a page for a browser, a line for a program."""
    if "text/html" in headers.get("accept", ""):
        return HTMLResponse(_REFUSED.format(words=escape(words)), status)
    return PlainTextResponse(words, status)


def _bounded(receive: Receive) -> Receive:
    """``receive``, ending the request when its body grows beyond MOST_BYTES."""
    total = 0

    async def bounded() -> Message:
        nonlocal total
        message = await receive()
        total += len(message.get("body", b""))
        if total > MOST_BYTES:
            raise HTTPException(413, _TOO_LONG)
        return message

    return bounded
