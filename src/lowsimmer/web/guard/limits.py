"""Limits: how many requests a second a client may keep up, and how many bytes a request may hold."""

from __future__ import annotations

import ipaddress
import math
import time
from collections import OrderedDict
from collections.abc import Callable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lowsimmer.web.guard.refuse import header, refusal

BODY = 1024 * 1024
UPLOAD = 64 * 1024 * 1024
UPLOADS = ("/keep/",)
PATIENCE = 4  # a body this many times over its limit is not even read to its end
CLIENTS = 2000  # clients remembered at once
TOO_MANY = "Too many requests at once; wait a second."


def client_of(scope: Scope) -> str:
    """Who asks: an IPv4 address, or the network of an IPv6 address, of which one client has very many."""
    host = str((scope.get("client") or ("", 0))[0])
    if ":" not in host:
        return host
    try:
        return str(ipaddress.ip_network((host.split("%", maxsplit=1)[0], 64), strict=False))
    except ValueError:
        return host


class RateLimit:
    """A bucket of tokens for each client: `burst` at once, `rate` a second after that; else 429."""

    def __init__(self, app: ASGIApp, rate: float, burst: int, clock: Callable[[], float] = time.monotonic) -> None:
        self.app, self.rate, self.burst, self.clock = app, rate, burst, clock
        self.buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] == "http" and (wait := self._wait(client_of(scope))):
            await refusal(scope, 429, TOO_MANY, {"Retry-After": str(wait)})(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _wait(self, client: str) -> int:
        """Take a token: 0, or the whole seconds until there is one again."""
        now = self.clock()
        tokens, seen = self.buckets.pop(client, (float(self.burst), now))
        tokens = min(float(self.burst), tokens + (now - seen) * self.rate)
        self.buckets[client] = (tokens - 1 if tokens >= 1 else tokens, now)
        while len(self.buckets) > CLIENTS:
            self.buckets.popitem(last=False)
        return 0 if tokens >= 1 else max(1, math.ceil((1 - tokens) / self.rate))


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
        await _Body(scope, receive, send).passed(self.app)


class _Body:
    """One body on its way in. Once it is over its limit, nothing that the application still says gets out."""

    def __init__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.scope, self.given, self.answer = scope, receive, send
        self.most = UPLOAD if scope["path"].startswith(UPLOADS) else BODY
        self.counted, self.ended, self.started = 0, False, False

    @property
    def over(self) -> bool:
        """True when more came than is allowed."""
        return self.counted > self.most

    async def passed(self, app: ASGIApp) -> None:
        """Give the body to the application as far as it may go; refuse it when it went too far."""
        said = header(self.scope, "content-length") or ""
        if said.isascii() and said.isdigit() and (len(said) > 18 or int(said) > self.most):
            await self._refuse()
            return
        try:
            await app(self.scope, self._receive, self._send)
        except Exception:
            if not self.over:
                raise
        if self.over and not self.started:
            await self._refuse()

    async def _receive(self) -> Message:
        message = await self.given()
        self.counted += len(message.get("body", b""))
        self.ended = not message.get("more_body", False)
        if self.over:
            raise _TooLarge
        return message

    async def _send(self, message: Message) -> None:
        if not self.over or self.started:
            self.started = True
            await self.answer(message)

    async def _refuse(self) -> None:
        """Read on for a while and say no: a browser shows an answer only when it could send everything."""
        while not self.ended and self.counted < PATIENCE * self.most and header(self.scope, "expect") is None:
            message = await self.given()
            self.counted += len(message.get("body", b""))
            self.ended = not message.get("more_body", False)
        sentence = f"The request holds more than {self.most // 1024 // 1024} MB."
        no = refusal(self.scope, 413, sentence, {"Connection": "close"})
        await no(self.scope, self.given, self.answer)
