"""A change must come from our own pages.

Browsers say where a request comes from: Sec-Fetch-Site (Fetch Metadata, W3C) and Origin (RFC 6454). A request that
changes something is let through when Sec-Fetch-Site is same-origin, or, where that header is missing, when Origin is
our own address. Where both are missing it is refused: absence proves nothing. A script sends an Origin header itself.
"""

from __future__ import annotations

from starlette.types import ASGIApp, Receive, Scope, Send

from lowsimmer.web.guard.refuse import header, refusal

SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}


class SameOrigin:
    """Refuses changes from elsewhere with 403."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] == "http" and scope["method"] not in SAFE_METHODS and not _own(scope):
            sentence = (
                "This change does not come from the bench's own pages. A script sends the header "
                f"'Origin: {scope['scheme']}://{header(scope, 'host')}'."
            )
            await refusal(scope, 403, sentence)(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _own(scope: Scope) -> bool:
    site, origin = header(scope, "sec-fetch-site"), header(scope, "origin")
    own = f"{scope['scheme']}://{header(scope, 'host')}"
    if site is not None:
        return site == "same-origin" and origin in (None, own)
    return origin == own
