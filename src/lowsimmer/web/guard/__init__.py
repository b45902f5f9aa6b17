"""What stands before every page and every call of the API, from outside in.

headers   content security policy and its companions on every answer, refusals and mishaps included
log       method, pattern of the address, status, milliseconds; nothing about people or dishes
hosts     only our own host names are answered, against names that are rebound to this machine
limits    requests a second by client, bytes of a body
origin    a change must come from our own pages
sign_in   the session cookie and, where there is a password, the door
"""

from __future__ import annotations

from starlette.types import ASGIApp

from lowsimmer.web.guard.headers import Headers
from lowsimmer.web.guard.hosts import Hosts
from lowsimmer.web.guard.limits import BodyLimit, RateLimit
from lowsimmer.web.guard.log import Log
from lowsimmer.web.guard.origin import SameOrigin
from lowsimmer.web.guard.sign_in import Door, Sessions
from lowsimmer.web.settings import Settings


def guarded(app: ASGIApp, settings: Settings) -> ASGIApp:
    """An application behind the guard."""
    app = Sessions(Door(app, settings.password_hash), settings.secret)
    app = BodyLimit(SameOrigin(app))
    app = RateLimit(app, settings.rate, settings.burst)
    return Headers(Log(Hosts(app, settings)))
