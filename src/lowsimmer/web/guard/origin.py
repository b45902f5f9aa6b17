"""A change must come from our own pages.

Browsers say where a request comes from: Sec-Fetch-Site (Fetch Metadata, W3C) and Origin (RFC 6454). A request that
changes something is let through when Sec-Fetch-Site is same-origin, or, where that header is missing, when Origin is
our own address. Where both are missing it is refused: absence proves nothing. A script sends an Origin header itself.

What only reads may be asked for by a link from elsewhere, but not as a part of a foreign page.
"""

from __future__ import annotations

from starlette.types import ASGIApp, Receive, Scope, Send

from lowsimmer.web.guard.refuse import header, refusal

SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}
FOREIGN = {"cross-site", "same-site"}


class SameOrigin:
    """Refuses requests of foreign pages with 403."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] == "http" and (sentence := _trouble(scope)):
            await refusal(scope, 403, sentence)(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _trouble(scope: Scope) -> str:
    """What is wrong with where a request comes from; '' when nothing is."""
    site, origin = header(scope, "sec-fetch-site"), header(scope, "origin")
    own = f"{scope['scheme']}://{(header(scope, 'host') or '').lower()}"
    if scope["method"] in SAFE_METHODS:
        part = site in FOREIGN and header(scope, "sec-fetch-mode") != "navigate"
        return "The bench is not shown as a part of other pages." if part else ""
    if site is None and origin is None:
        return f"This change does not say where it comes from; a script sends the header 'Origin: {own}'."
    same = origin == own if site is None else site == "same-origin" and origin in (None, own)
    return "" if same else f"This change does not come from the bench's own pages, which stand at {own}."
