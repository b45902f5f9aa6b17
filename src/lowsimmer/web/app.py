"""The whole bench as one application: pages, the API for scripts, and the files that pages load.

`make_app` puts them together behind the guard; nothing here computes anything.
"""

from __future__ import annotations

from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from lowsimmer.domain.errors import DomainError, InputError
from lowsimmer.store.records import NotKept
from lowsimmer.store.store import Store
from lowsimmer.web.api import make_api
from lowsimmer.web.guard import guarded
from lowsimmer.web.pages import api_page, dish, figures, foods, history, home, keep, plate, sign_in, sources, why
from lowsimmer.web.pages.common import render
from lowsimmer.web.settings import Settings

STATIC = Path(__file__).parent / "static"
PAGES = (home, dish, plate, why, history, foods, figures, sources, keep, api_page, sign_in)


def make_app(store: Store, settings: Settings) -> ASGIApp:
    """The bench over one store, behind the guard."""
    return guarded(bare_app(store, settings), settings)


def bare_app(store: Store, settings: Settings) -> Starlette:
    """The bench without its guard; only for tests of single pages."""
    mounted: list[BaseRoute] = [
        Mount("/static", StaticFiles(directory=STATIC), name="static"),
        Mount("/api/v1", make_api(store), name="api"),
    ]
    routes: list[Route] = [route for page in PAGES for route in page.routes]
    app = Starlette(routes=[*mounted, *routes], exception_handlers={DomainError: _refused, 404: _no_page})
    app.state.store = store
    app.state.settings = settings
    return app


def _refused(request: Request, error: Exception) -> Response:
    """What a person gave cannot be used, or is not kept: said on a page, with the next step."""
    sentence = error.sentence if isinstance(error, InputError) else str(error)
    step = error.next_step if isinstance(error, InputError) else ""
    if isinstance(error, NotKept):
        return render(request, "trouble.html", 404, title="Not here", sentence=sentence, next_step=step)
    return render(request, "trouble.html", 400, title="That cannot be used", sentence=sentence, next_step=step)


def _no_page(request: Request, _error: Exception) -> Response:
    sentence = "There is no page under this address."
    return render(request, "trouble.html", 404, title="Not here", sentence=sentence, next_step="")
