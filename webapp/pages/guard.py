"""The door: which requests get in at all, and what every answer carries."""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_READING = ("GET", "HEAD", "OPTIONS")
CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


class TooMuchSent(OSError):
    """The request's body is larger than allowed."""


class Guard:
    """ASGI middleware: own host and own origin only, a limit on what is sent, strict headers on every answer."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str], max_bytes: int) -> None:
        """Take the application, the Host values that are ours, and the largest body."""
        self.app, self.hosts, self.max_bytes = app, hosts, max_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Turn a request away, or let it in under the limit."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope["method"], headers)
        if refusal is not None:
            await refusal(scope, receive, self._with_headers(send))
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
            await self.app(scope, limited, self._with_headers(send))
        except TooMuchSent:
            await self._too_large()(scope, receive, self._with_headers(send))

    def _refusal(self, method: str, headers: Headers) -> PlainTextResponse | None:
        if headers.get("host", "").lower() not in self.hosts:
            return PlainTextResponse("This address is not the almanac's own. Open it as 127.0.0.1.", 421)
        if method not in _READING:
            origin = headers.get("origin", "").lower()
            if origin.removeprefix("http://") not in self.hosts:
                return PlainTextResponse(
                    "This change was not sent from a page of the almanac itself, so it was refused. "
                    "Open the almanac's own page and send it from there.",
                    403,
                )
            if int(headers.get("content-length") or 0) > self.max_bytes:
                return self._too_large()
        return None

    def _too_large(self) -> PlainTextResponse:
        return PlainTextResponse(
            f"The file is larger than {self.max_bytes // 1_000_000} MB, which no photo from a phone is. "
            "Nothing was stored. Choose the camera's own photo.",
            413,
            {"Connection": "close"},
        )

    def _with_headers(self, send: Send) -> Send:
        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        return send_with_headers
