"""How the guard says no: one sentence, as a page, as JSON for the API, else as plain text."""

from __future__ import annotations

from html import escape

from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.types import Scope

API = "/api/"
PAGE = """<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title} · Lowsimmer</title><link rel="stylesheet" href="/static/bench.css"></head>
<body><main><h1>{title}</h1><section class="sheet"><p>{sentence}</p><p><a href="/">To the dishes and plates</a></p>
</section></main></body></html>
"""
TITLES = {429: "Too many requests", 500: "Something went wrong"}


def refusal(scope: Scope, status: int, sentence: str, headers: dict[str, str] | None = None) -> Response:
    """The answer that refuses a request."""
    if scope["path"].startswith(API):
        return JSONResponse({"error": sentence, "next_step": ""}, status, headers)
    if wants_page(scope):
        title = TITLES.get(status, "That cannot be done")
        return HTMLResponse(PAGE.format(title=title, sentence=escape(sentence)), status, headers)
    return PlainTextResponse(sentence + "\n", status, headers)


def wants_page(scope: Scope) -> bool:
    """True when a browser goes to an address: it will show what comes, unlike a script or htmx."""
    return "text/html" in (header(scope, "accept") or "") and header(scope, "hx-request") is None


def headers_of(scope: Scope, name: str) -> list[str]:
    """Every value of a header, in their order."""
    wanted = name.lower().encode()
    return [value.decode("latin-1") for key, value in scope["headers"] if key.lower() == wanted]


def header(scope: Scope, name: str) -> str | None:
    """A header of a request; None when it is not there. Given twice, the values stand together and fit nothing."""
    found = headers_of(scope, name)
    return ", ".join(found) if found else None
