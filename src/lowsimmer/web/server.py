"""The HTTP server (uvicorn) with its settings, apart so that importing the verbs does not load it."""

from __future__ import annotations

import socket

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from lowsimmer.web.guard.headers import SAFE

NOT_HTTP = b"This is not a request that can be read.\n"


class Protocol(H11Protocol):
    """Reads requests; what is no HTTP never reaches the guard, so it is answered here with the guard's headers."""

    def send_400_response(self, msg: str) -> None:
        """Refuse what cannot be read, and close."""
        headers = [(name.encode(), value.encode()) for name, value in SAFE.items()]
        plain = [(b"content-type", b"text/plain; charset=utf-8"), (b"connection", b"close")]
        for event in (
            h11.Response(status_code=400, headers=[*headers, *plain], reason=b"Bad Request"),
            h11.Data(data=NOT_HTTP),
            h11.EndOfMessage(),
        ):
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()


def serve_on(app: ASGIApp, listening: socket.socket, grace: int) -> None:
    """Serve until a signal; answers under way are given `grace` seconds. Raises KeyboardInterrupt after Ctrl-C."""
    config = uvicorn.Config(
        app, http=Protocol, ws="none", lifespan="off", log_level="warning", access_log=False, server_header=False,
        proxy_headers=False, timeout_graceful_shutdown=grace,
    )  # fmt: skip
    uvicorn.Server(config).run(sockets=[listening])
