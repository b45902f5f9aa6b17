"""Only requests to our own host names are answered: a foreign name that is made to point here gets nothing."""

from __future__ import annotations

from starlette.types import ASGIApp, Receive, Scope, Send

from lowsimmer.web.guard.refuse import header, refusal


class Hosts:
    """Refuses other Host headers with 421 (misdirected request, RFC 9110, 15.5.20)."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self.app = app
        self.hosts = hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] == "http" and (header(scope, "host") or "").lower() not in self.hosts:
            sentence = "This server does not answer to that host name; start it with --allow-host NAME if it should."
            await refusal(scope, 421, sentence)(scope, receive, send)
            return
        await self.app(scope, receive, send)
