"""The bench for scripts: JSON in and out, the same records as the command line, described by its own openapi.json.

The guard stands before it as before the pages: a change needs the header Origin, a bench with a password a session.
"""

from __future__ import annotations

from fastapi import APIRouter, FastAPI
from fastapi.routing import APIRoute

from lowsimmer import __version__
from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import Store
from lowsimmer.web.api.answers import REFUSALS, answer_in_sentences
from lowsimmer.web.api.catalogue import food_routes, reading_routes, source_routes, store_routes
from lowsimmer.web.api.documents import document_routes
from lowsimmer.web.api.figures import figures_routes

PREFIX = "/api/v1"


def make_api(store: Store) -> FastAPI:
    """The API over one store; `PREFIX` is where it is mounted."""
    api = FastAPI(
        title="Lowsimmer bench",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        generate_unique_id_function=_id,
        responses=REFUSALS,
    )
    for room, router in _rooms(store).items():
        api.include_router(router, prefix="" if room in {"reading", "store"} else f"/{room}", tags=[room])
    answer_in_sentences(api)
    return api


def _rooms(store: Store) -> dict[str, APIRouter]:
    """The operations by what they are about, in the order in which they are described."""
    return {
        "reading": reading_routes(store),
        "dishes": document_routes(store, DocumentKind.DISH),
        "plates": document_routes(store, DocumentKind.PLATE),
        "foods": food_routes(store),
        "sources": source_routes(),
        "figures": figures_routes(store),
        "store": store_routes(store),
    }


def _id(route: APIRoute) -> str:
    return f"{route.tags[0]}.{route.name}"
