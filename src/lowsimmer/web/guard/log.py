"""The log: method, pattern of the address, status, milliseconds. No names, words, addresses or texts.

An error that nobody expected ends here: the client gets a page without details, the log the type and the place.
"""

from __future__ import annotations

import logging
import time
import traceback

from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lowsimmer.web.guard.refuse import refusal

LOG = logging.getLogger("lowsimmer.bench")
METHODS = {"GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE"}
SORRY = "Something went wrong on the bench; nothing that was acknowledged is lost. Try it again."
PACKAGE, GUARD = "/lowsimmer/", "/web/guard/"
BROKEN = 500
GONE = 499  # the usual number in logs for a client that went away before the answer


class Log:
    """Writes one line a request."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, time it, and catch what nobody expected. No websocket is opened."""
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        elif scope["type"] != "http":
            await self.app(scope, receive, send)
        else:
            began, answer = time.perf_counter(), _Answer(send)
            await self._caught(scope, receive, answer)
            took = (time.perf_counter() - began) * 1000
            method = scope["method"] if scope["method"] in METHODS else "OTHER"
            LOG.info("%s %s %d %.0f ms", method, pattern(scope), answer.status, took)

    async def _caught(self, scope: Scope, receive: Receive, answer: _Answer) -> None:
        try:
            await self.app(scope, receive, answer)
            await answer.let_go()
        except ClientDisconnect:
            answer.status = GONE
        except Exception as error:
            LOG.error("%s at %s", type(error).__name__, place_of(error))
            if answer.status in {0, BROKEN}:
                answer.status = BROKEN
                await refusal(scope, BROKEN, SORRY)(scope, receive, answer.send)


class _Answer:
    """What is sent. A 500 is held back until it is sure that no error follows it, whose answer is ours to give."""

    def __init__(self, send: Send) -> None:
        self.send = send
        self.status = 0
        self.held: list[Message] = []

    async def __call__(self, message: Message) -> None:
        """Pass a message on, or hold it."""
        if message["type"] == "http.response.start":
            self.status = message["status"]
        if self.status == BROKEN:
            self.held.append(message)
        else:
            await self.send(message)

    async def let_go(self) -> None:
        """Send what was held."""
        for message in self.held:
            await self.send(message)


def pattern(scope: Scope) -> str:
    """The address as its route writes it, with everything that was filled in left out; '-' for no route."""
    path = getattr(scope.get("route"), "path", None)
    root = str(scope.get("root_path", ""))
    return "-" if path is None else str(path) if not root or str(path).startswith(root) else f"{root}{path}"


def place_of(error: BaseException) -> str:
    """File and line where an error arose: the last of our own code that it came through, the guard not counted."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [each for each in frames if PACKAGE in each.filename and GUARD not in each.filename]
    if not frames:
        return "no place"
    frame = (ours or frames)[-1]
    return f"{frame.filename.rsplit(PACKAGE, 1)[-1].rsplit('/site-packages/', 1)[-1]}:{frame.lineno}"
