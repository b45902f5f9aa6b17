"""The log: method, pattern of the address, status, milliseconds. No names, words, addresses or texts.

An error that nobody expected ends here: the client gets a page without details, the log the type and the place.
"""

from __future__ import annotations

import logging
import time
import traceback

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lowsimmer.web.guard.refuse import refusal

LOG = logging.getLogger("lowsimmer.bench")


class Log:
    """Writes one line a request."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, time it, and catch what nobody expected."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.perf_counter(), 0

        async def watching(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, watching)
        except Exception as error:
            LOG.error("%s at %s", type(error).__name__, _place(error))
            if status == 0:
                sentence = "Something went wrong on the bench; nothing that was acknowledged is lost. Try it again."
                await refusal(scope, 500, sentence)(scope, receive, watching)
        LOG.info("%s %s %d %.0f ms", scope["method"], pattern(scope), status, (time.perf_counter() - began) * 1000)


def pattern(scope: Scope) -> str:
    """The address with everything that was filled in left out."""
    route = scope.get("route")
    path = getattr(route, "path", None)
    return str(path) if path else "/" + scope["path"].strip("/").split("/", 1)[0][:12] + "/..."


def _place(error: Exception) -> str:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    return f"{frame.filename.rsplit('/', 1)[-1]}:{frame.lineno}"
