"""Signing in and out, where the bench has a password."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.web.guard.limits import client_of
from lowsimmer.web.guard.sign_in import Door
from lowsimmer.web.pages.common import render, see_other

LONGEST = 200  # characters of a password


def ask(request: Request) -> Response:
    """The form; who is in already goes on to the bench."""
    if _door(request) is None:
        return see_other("/")
    return render(request, "sign-in.html", trouble="")


async def sign_in(request: Request) -> Response:
    """Check the password; five attempts a minute."""
    door = _door(request)
    if door is None:
        return see_other("/")
    client = client_of(request.scope)
    if wait := door.attempts.wait(client):
        answer = render(request, "sign-in.html", 429, trouble=f"Too many attempts; wait {wait} seconds.")
        answer.headers["Retry-After"] = str(wait)
        return answer
    async with request.form() as form:
        given = form.get("password", "")
    if not isinstance(given, str) or not await run_in_threadpool(door.fits, given[: LONGEST + 1]):
        return render(request, "sign-in.html", 403, trouble="That is not the password.")
    door.attempts.forget(client)
    door.sign_in(request.session)
    return see_other("/")


async def sign_out(request: Request) -> Response:
    """Forget that somebody signed in, on this browser and on every copy of its cookie."""
    if door := _door(request):
        door.sign_out(request.session)
    return see_other("/sign-in")


def _door(request: Request) -> Door | None:
    """The door of this server; None where there is no password."""
    door = request.scope.get("door")
    return door if isinstance(door, Door) and door.password_hash is not None else None


routes = [
    Route("/sign-in", ask),
    Route("/sign-in", sign_in, methods=["POST"]),
    Route("/sign-out", sign_out, methods=["POST"]),
]
