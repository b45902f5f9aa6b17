"""The door: with a password set, only who has signed in gets past; without one, everybody on this machine."""

from __future__ import annotations

from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from lowsimmer.web.guard.refuse import API, refusal

OPEN = ("/static/", "/sign-in")


class Door:
    """Sends strangers to the sign-in page (the API answers 401)."""

    def __init__(self, app: ASGIApp, locked: bool) -> None:
        self.app = app
        self.locked = locked

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or send it to the sign-in page."""
        if scope["type"] == "http" and self.locked and not _may_pass(scope):
            if scope["path"].startswith(API):
                await refusal(scope, 401, "Sign in first, at /sign-in.")(scope, receive, send)
                return
            await RedirectResponse("/sign-in", status_code=303)(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _may_pass(scope: Scope) -> bool:
    return scope["path"].startswith(OPEN) or bool(scope["session"].get("signed_in"))


def hashed(password: str) -> str:
    """The argon2 hash of a password."""
    from argon2 import PasswordHasher

    return PasswordHasher().hash(password)


def fits(password: str, stored: str) -> bool:
    """True when the password is the one that was stored."""
    from argon2 import PasswordHasher
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return PasswordHasher().verify(stored, password)
    except (VerificationError, InvalidHashError):
        return False
