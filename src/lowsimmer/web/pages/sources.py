"""Every source of a figure, and one source with all that was taken from it."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.reference.evidence import source_use, source_uses
from lowsimmer.store.records import NotKept
from lowsimmer.web.pages.common import render


def every(request: Request) -> Response:
    """All sources with how much was taken."""
    return render(request, "sources.html", uses=list(source_uses().values()))


def one(request: Request) -> Response:
    """One source."""
    key = request.path_params["key"]
    if key not in source_uses():
        raise NotKept(f"No source is called '{key[:40]}'.", "See the list of sources.")
    return render(request, "source.html", use=source_use(key))


routes = [Route("/sources", every), Route("/sources/{key}", one)]
