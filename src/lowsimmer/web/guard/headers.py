"""Headers of safety on every answer: nothing is loaded from anywhere else, nothing inline is run."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = "; ".join(
    [
        "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self'", "font-src 'self'",
        "connect-src 'self'", "form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'",
    ]
)  # fmt: skip
# The referrer stays within the bench and never leaves it. 'no-referrer' would make browsers send 'Origin: null' with
# our own forms (Fetch standard, 'append a request Origin header'), so that a change could no longer show its origin.
SAFE = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
    "X-Frame-Options": "DENY",
}
STATIC = "/static/"
NOT_KEPT = "no-store"


class Headers:
    """Adds them to every answer; no answer is kept by a browser but the files that pages load."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on."""

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in SAFE.items():
                    headers[name] = value
                if not scope["path"].startswith(STATIC):
                    headers.setdefault("Cache-Control", NOT_KEPT)
            await send(message)

        await self.app(scope, receive, with_headers)
