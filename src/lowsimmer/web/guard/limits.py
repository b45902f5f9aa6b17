"""Limits: how many requests a second a client may keep up, and how many bytes a request may hold."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lowsimmer.web.guard.refuse import header, refusal

BODY = 1024 * 1024
UPLOAD = 64 * 1024 * 1024
UPLOADS = ("/keep/",)
CLIENTS = 2000  # clients remembered at once


class RateLimit:
    """A bucket of tokens for each client: `burst` at once, `rate` a second after that; else 429."""

    def __init__(self, app: ASGIApp, rate: float, burst: int, clock: Callable[[], float] = time.monotonic) -> None:
        self.app, self.rate, self.burst, self.clock = app, rate, burst, clock
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] == "http" and not self._allowed((scope.get("client") or ("", 0))[0]):
            await refusal(scope, 429, "Too many requests at once; wait a second.", {"Retry-After": "1"})(
                scope, receive, send
            )
            return
        await self.app(scope, receive, send)

    def _allowed(self, client: str) -> bool:
        now = self.clock()
        tokens, seen = self._buckets.pop(client, (float(self.burst), now))
        tokens = min(self.burst, tokens + (now - seen) * self.rate)
        self._buckets[client] = (max(tokens - 1, 0.0) if tokens >= 1 else tokens, now)
        while len(self._buckets) > CLIENTS:
            self._buckets.popitem(last=False)
        return tokens >= 1


class _TooLarge(Exception):  # noqa: N818
    """The body went over its limit."""


class BodyLimit:
    """Refuses a body over its limit with 413, counted as it arrives, whatever its head says."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        most = UPLOAD if scope["path"].startswith(UPLOADS) else BODY
        said, started, counted = header(scope, "content-length") or "0", False, 0

        async def counting() -> Message:
            nonlocal counted
            message = await receive()
            counted += len(message.get("body", b""))
            if counted > most:
                raise _TooLarge
            return message

        async def watching(message: Message) -> None:
            nonlocal started
            started = True
            await send(message)

        sentence = f"The request holds more than {most // 1024 // 1024} MB."
        if said.isdigit() and int(said) > most:
            await refusal(scope, 413, sentence, {"Connection": "close"})(scope, receive, send)
            return
        try:
            await self.app(scope, counting, watching)
        except _TooLarge:
            if not started:
                await refusal(scope, 413, sentence, {"Connection": "close"})(scope, receive, send)
