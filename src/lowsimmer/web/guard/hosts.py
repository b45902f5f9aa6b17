"""Only requests to our own host names are answered: a foreign name that is made to point here gets nothing."""

from __future__ import annotations

from starlette.types import ASGIApp, Receive, Scope, Send

from lowsimmer.web.guard.refuse import headers_of, refusal
from lowsimmer.web.settings import Settings, host_header

SENTENCE = "This server does not answer to that host name; start it with --allow-host NAME if it should."
MAPPED = "::ffff:"  # an IPv4 address on an IPv6 socket


class Hosts:
    """Refuses other Host headers with 421 (misdirected request, RFC 9110, 15.5.20); a proxy's https is put in."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.hosts = settings.hosts
        self.anywhere = settings.anywhere

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] == "http":
            scheme = self._scheme(scope)
            if scheme is None:
                await refusal(scope, 421, SENTENCE)(scope, receive, send)
                return
            scope["scheme"] = scheme
        await self.app(scope, receive, send)

    def _scheme(self, scope: Scope) -> str | None:
        """The scheme by which the bench is reached under the one Host header given; None when it is not ours."""
        given = [each.lower() for each in headers_of(scope, "host")]
        if len(given) != 1:
            return None
        if self.anywhere and given[0] == _reached(scope):
            return "http"
        return self.hosts.get(given[0])


def _reached(scope: Scope) -> str | None:
    """The Host header for the address that the connection came in on: an address cannot be rebound as a name can."""
    server = scope.get("server")
    return host_header(server[0].removeprefix(MAPPED), server[1]) if server and server[1] else None
