"""The bench for scripts: JSON in and out, the same records as the command line, described by /api/v1/openapi.json.

A change needs the header Origin (or Sec-Fetch-Site), like everything that changes something; see `guard.origin`.
"""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse

from lowsimmer import __version__
from lowsimmer.domain.errors import DomainError, InputError
from lowsimmer.store.records import DocumentKind, NotKept
from lowsimmer.store.store import Store
from lowsimmer.web.api.catalogue import catalogue_routes
from lowsimmer.web.api.documents import document_routes
from lowsimmer.web.api.models import Trouble

REFUSALS: dict[int | str, dict[str, Any]] = {
    code: {"model": Trouble} for code in (400, 403, 404, 405, 413, 421, 422, 429)
}


def make_api(store: Store) -> FastAPI:
    """The API over one store."""
    api = FastAPI(title="Lowsimmer bench", version=__version__, docs_url=None, redoc_url=None, responses=REFUSALS)
    api.include_router(catalogue_routes(store))
    api.include_router(document_routes(store, DocumentKind.DISH), prefix="/dishes", tags=["dishes"])
    api.include_router(document_routes(store, DocumentKind.PLATE), prefix="/plates", tags=["plates"])
    api.add_exception_handler(DomainError, _refused)
    api.add_exception_handler(RequestValidationError, _invalid)
    api.add_exception_handler(HTTPException, _failed)
    return api


def _trouble(status: int, sentence: str, step: str = "") -> JSONResponse:
    return JSONResponse({"error": sentence, "next_step": step}, status)


async def _refused(_request: Request, error: Exception) -> JSONResponse:
    step = error.next_step if isinstance(error, InputError) else ""
    sentence = error.sentence if isinstance(error, InputError) else str(error)
    return _trouble(404 if isinstance(error, NotKept) else 400, sentence, step)


async def _invalid(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    places = "; ".join(f"{'.'.join(str(part) for part in each['loc'])}: {each['msg']}" for each in error.errors()[:5])
    words = places.encode("utf-8", "replace").decode()
    return _trouble(422, f"The request does not fit: {words}.", "See /api/v1/openapi.json.")


async def _failed(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)
    answer = _trouble(error.status_code, str(error.detail), "See /api/v1/openapi.json.")
    answer.headers.update(error.headers or {})
    return answer
