"""The door: which requests get in at all, and what every answer carries."""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.pages.render import page

_READING = ("GET", "HEAD", "OPTIONS")
CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
STRICT_HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


_READ_ON = 10
"""A body that is too large is still read, up to so many times the limit, and thrown away: a browser that is cut off
while it sends never shows the answer."""


class TooMuchSent(Exception):
    """The request's body is larger than allowed."""


class Guard:
    """ASGI middleware: own host and own origin only, a limit on what is sent, strict headers on every answer."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str], max_bytes: int) -> None:
        """Take the application, the Host values that are ours, and the largest body."""
        self.app, self.hosts, self.max_bytes = app, hosts, max_bytes
        self.origins = frozenset(f"http://{host}" for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Turn a request away, or let it in under the limit."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await self._read_on(receive)
            await refusal(scope, receive, self._with_headers(scope["path"], send))
            return
        received = 0

        async def limited() -> Message:
            nonlocal received
            message = await receive()
            received += len(message.get("body", b""))
            if received > self.max_bytes:
                raise TooMuchSent
            return message

        try:
            await self.app(scope, limited, self._with_headers(scope["path"], send))
        except TooMuchSent:
            await self._read_on(receive)
            await self._too_large(scope)(scope, receive, self._with_headers(scope["path"], send))
        except ClientDisconnect:
            return  # the browser was closed half-way: nothing was stored, and nobody waits for an answer

    async def _read_on(self, receive: Receive) -> None:
        """Read the rest of a refused body and throw it away."""
        thrown_away = 0
        while thrown_away <= _READ_ON * self.max_bytes:
            message = await receive()
            thrown_away += len(message.get("body", b""))
            if not message.get("more_body", False):
                return

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if headers.get("host", "").lower() not in self.hosts:
            return PlainTextResponse("This address is not the almanac's own. Open it as 127.0.0.1.", 421)
        if scope["method"] not in _READING:
            if headers.get("origin", "").lower() not in self.origins:
                sentence = (
                    "This change was not sent from a page of the almanac itself, so it was refused and nothing was "
                    "changed. Open the almanac's own page and send it from there."
                )
                return page(Request(scope), "sorry.html", 403, sentence=sentence)
            announced = headers.get("content-length", "")
            if announced.isdecimal() and (len(announced) > 15 or int(announced) > self.max_bytes):
                return self._too_large(scope)
        return None

    def _too_large(self, scope: Scope) -> Response:
        sentence = (
            f"The file is larger than {self.max_bytes // 1_000_000} MB, which no photo from a phone is. "
            "Nothing was stored. Choose the camera's own photo."
        )
        answer = page(Request(scope), "sorry.html", 413, sentence=sentence)
        answer.headers["Connection"] = "close"
        return answer

    def _with_headers(self, path: str, send: Send) -> Send:
        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if not path.startswith("/static/"):
                    headers.setdefault("Cache-Control", "no-store")  # nothing of a face stays in the browser
                for name, value in STRICT_HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        return send_with_headers
