"""The door: with a password set, only who has signed in gets past; without one, everybody on this machine.

The cookie holds a signed key, and the door knows which keys are good: signing out ends a key at once, on every copy of
the cookie, and a start of the server ends all of them.
"""

from __future__ import annotations

import secrets
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from typing import Any

from starlette.middleware.sessions import SessionMiddleware
from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from lowsimmer.web.guard.refuse import API, refusal, wants_page

COOKIE = "bench"
LASTS = 14 * 24 * 3600  # seconds
SIGN_IN = "/sign-in"
OPEN = "/static/"
MOST_KEYS = 200
KEY = "signed_in"
ATTEMPTS, ALTOGETHER, A_MINUTE = 5, 50, 60.0


class Sessions:
    """The session cookie: never read by scripts, never sent from other sites, by https only where there is https."""

    def __init__(self, app: ASGIApp, secret: str) -> None:
        self.plain = SessionMiddleware(app, secret, COOKIE, max_age=LASTS, same_site="strict")
        self.secure = SessionMiddleware(app, secret, COOKIE, max_age=LASTS, same_site="strict", https_only=True)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on with its session."""
        by = self.secure if scope.get("scheme") == "https" else self.plain
        await by(scope, receive, send)


class Attempts:
    """How often a password was tried: five times a minute by a client, fifty times by all of them together."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self._all: deque[tuple[str, float]] = deque()

    def wait(self, client: str) -> int:
        """Count an attempt: 0, or the seconds to wait before the next one is looked at."""
        now = self.clock()
        while self._all and now - self._all[0][1] >= A_MINUTE:
            self._all.popleft()
        own = [at for each, at in self._all if each == client]
        if len(own) >= ATTEMPTS or len(self._all) >= ALTOGETHER:
            since = own[0] if len(own) >= ATTEMPTS else self._all[0][1]
            return max(1, round(A_MINUTE - (now - since)))
        self._all.append((client, now))
        return 0

    def forget(self, client: str) -> None:
        """Forget the attempts of a client that knew the password."""
        self._all = deque(each for each in self._all if each[0] != client)


class Door:
    """Sends strangers to the sign-in page; scripts, and changes that they would lose, get 401."""

    def __init__(self, app: ASGIApp, password_hash: str | None) -> None:
        self.app = app
        self.password_hash = password_hash
        self.attempts = Attempts()
        self._keys: OrderedDict[str, None] = OrderedDict()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or stop it."""
        if scope["type"] == "http":
            scope["door"] = self
            if not self._may_pass(scope):
                await _stopped(scope, receive, send)
                return
        await self.app(scope, receive, send)

    def _may_pass(self, scope: Scope) -> bool:
        open_to_all = scope["path"] == SIGN_IN or scope["path"].startswith(OPEN)
        return self.password_hash is None or open_to_all or scope["session"].get(KEY) in self._keys

    def fits(self, password: str) -> bool:
        """True when a password is the one of this bench."""
        return self.password_hash is not None and fits(password, self.password_hash)

    def sign_in(self, session: dict[str, Any]) -> None:
        """A new key for a session, in the place of any older one."""
        self.sign_out(session)
        session[KEY] = secrets.token_urlsafe(24)
        self._keys[session[KEY]] = None
        while len(self._keys) > MOST_KEYS:
            self._keys.popitem(last=False)

    def sign_out(self, session: dict[str, Any]) -> None:
        """End the key of a session."""
        self._keys.pop(str(session.get(KEY)), None)
        session.pop(KEY, None)


async def _stopped(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["method"] in {"GET", "HEAD"} and wants_page(scope) and not scope["path"].startswith(API):
        await RedirectResponse(SIGN_IN, status_code=303)(scope, receive, send)
        return
    sentence = f"Sign in first, at {SIGN_IN}."
    await refusal(scope, 401, sentence, {"HX-Redirect": SIGN_IN})(scope, receive, send)


def hashed(password: str) -> str:
    """The argon2 hash of a password."""
    from argon2 import PasswordHasher

    return PasswordHasher().hash(password)


def fits(password: str, stored: str) -> bool:
    """True when the password is the one that was stored; argon2 takes its time whatever was given."""
    from argon2 import PasswordHasher
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return PasswordHasher().verify(stored, password)
    except (VerificationError, InvalidHashError):
        return False
