"""Signing in and out, where the bench has a password."""

from __future__ import annotations

import time
from collections import deque

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.web.guard.sign_in import fits
from lowsimmer.web.pages.common import bench, render, see_other

ATTEMPTS, A_MINUTE = 5, 60.0
LONGEST = 200
_TRIED: deque[float] = deque(maxlen=ATTEMPTS)  # of all clients together: a bench has one owner


def ask(request: Request) -> Response:
    """The form."""
    return render(request, "sign-in.html", trouble="")


async def sign_in(request: Request) -> Response:
    """Check the password; five attempts a minute in all."""
    stored = bench(request).settings.password_hash
    if stored is None:
        return see_other("/")
    if len(_TRIED) == ATTEMPTS and time.monotonic() - _TRIED[0] < A_MINUTE:
        trouble = "Five attempts a minute are allowed; wait a minute."
        return render(request, "sign-in.html", 429, trouble=trouble)
    _TRIED.append(time.monotonic())
    given = str((await request.form()).get("password", ""))[:LONGEST]
    if not await run_in_threadpool(fits, given, stored):
        return render(request, "sign-in.html", 403, trouble="That is not the password.")
    _TRIED.clear()
    request.session.clear()
    request.session["signed_in"] = True
    return see_other("/")


async def sign_out(request: Request) -> Response:
    """Forget that somebody signed in."""
    request.session.clear()
    return see_other("/sign-in")


routes = [
    Route("/sign-in", ask),
    Route("/sign-in", sign_in, methods=["POST"]),
    Route("/sign-out", sign_out, methods=["POST"]),
]
