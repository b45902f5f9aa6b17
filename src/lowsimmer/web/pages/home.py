"""The first page: every dish and plate of the bench, the newest change first; and the first start."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.demo import KITCHEN
from lowsimmer.store.records import Document, DocumentKind
from lowsimmer.store.store import Store
from lowsimmer.web.pages.common import LOOKS, bench, is_htmx, render, see_other

PAGE = 40
LONGEST_WORDS = 100
STARTED = "started"


def home(request: Request) -> Response:
    """Dishes and plates, searched and leafed through; at the first start the choice of what to begin with."""
    store = bench(request).store
    if store.setting(STARTED) is None and store.is_empty():
        return render(request, "start.html")
    words = request.query_params.get("words", "")[:LONGEST_WORDS]
    start = _start(request)
    found: dict[str, Any] = {
        "words": words,
        "start": start,
        "page": PAGE,
        "dishes": store.list(DocumentKind.DISH, words, start, PAGE),
        "dish_count": store.count(DocumentKind.DISH, words),
        "plates": store.list(DocumentKind.PLATE, words, 0, PAGE),
        "plate_count": store.count(DocumentKind.PLATE, words),
        "leaf": lambda at: "/?" + urlencode({"words": words, "start": at}),
        "when": _when,
    }
    return render(request, "_kept.html" if is_htmx(request) else "home.html", **found)


def _start(request: Request) -> int:
    given = request.query_params.get("start", "0")
    return min(int(given), 10**6) if given.isascii() and given.isdigit() and len(given) < 8 else 0


def _when(document: Document) -> str:
    return f"{document.changed_at:%d %b %Y, %H:%M}"


async def begin(request: Request) -> Response:
    """The first start: the worked example or an empty bench."""
    form = await request.form()
    begin_with(bench(request).store, "demo" if form.get("with") == "demo" else "empty")
    return see_other("/")


def begin_with(store: Store, what: str) -> None:
    """Begin a workspace: 'demo' brings the worked example's dishes and plate, 'empty' nothing."""
    if what == "demo" and store.is_empty():
        for file in sorted(KITCHEN.glob("*.md")):
            store.create(DocumentKind.DISH, file.stem, file.read_text(encoding="utf-8"), "demo", "demo")
        for file in sorted(KITCHEN.glob("*.yaml")):
            store.create(DocumentKind.PLATE, file.stem, file.read_text(encoding="utf-8"), "demo", "demo")
    store.set_setting(STARTED, what)


async def look(request: Request) -> Response:
    """Light, dark or as the machine, kept for this browser."""
    form = await request.form()
    chosen = str(form.get("look", ""))
    if chosen in LOOKS:
        request.session["look"] = chosen
    back = request.headers.get("referer", "")
    own = f"{request.url.scheme}://{request.url.netloc}/"
    return see_other(back if back.startswith(own) else "/")


routes = [
    Route("/", home),
    Route("/start", begin, methods=["POST"]),
    Route("/look", look, methods=["POST"]),
]
