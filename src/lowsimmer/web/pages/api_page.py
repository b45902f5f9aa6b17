"""The API in words: every operation, read from the description that scripts read."""

from __future__ import annotations

from functools import cache
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.store.store import Store
from lowsimmer.web.pages.common import bench, render


@cache
def _operations(store: Store) -> list[dict[str, Any]]:
    from lowsimmer.web.api import make_api

    paths = make_api(store).openapi()["paths"]
    return [
        {
            "method": method.upper(),
            "path": f"/api/v1{path}",
            "words": each.get("description", ""),
            "takes": [parameter["name"] for parameter in each.get("parameters", [])],
            "body": "requestBody" in each,
        }
        for path, methods in paths.items()
        for method, each in methods.items()
    ]


def show(request: Request) -> Response:
    """The page."""
    return render(request, "api.html", operations=_operations(bench(request).store))


routes = [Route("/api", show)]
