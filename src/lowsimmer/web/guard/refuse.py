"""How the guard says no: one sentence, as plain text or as JSON for the API."""

from __future__ import annotations

from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import Scope

API = "/api/"


def refusal(scope: Scope, status: int, sentence: str, headers: dict[str, str] | None = None) -> Response:
    """The answer that refuses a request."""
    if scope["path"].startswith(API):
        return JSONResponse({"error": sentence, "next_step": ""}, status, headers)
    return PlainTextResponse(sentence + "\n", status, headers)


def header(scope: Scope, name: str) -> str | None:
    """One header of a request; None when it is not there, the first when it is there twice."""
    wanted = name.lower().encode()
    found = next((value for key, value in scope["headers"] if key == wanted), None)
    return None if found is None else str(found.decode("latin-1"))
