"""How the guard says no: one sentence, as plain text or as JSON for the API."""

from __future__ import annotations

from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import Receive, Scope, Send

API = "/api/"


async def refuse(
    scope: Scope, receive: Receive, send: Send, status: int, sentence: str, headers: dict[str, str] | None = None
) -> None:
    """Answer a request with a refusal."""
    answer: Response = (
        JSONResponse({"error": sentence, "next_step": ""}, status, headers)
        if scope["path"].startswith(API)
        else PlainTextResponse(sentence + "\n", status, headers)
    )
    await answer(scope, receive, send)


def header(scope: Scope, name: str) -> str | None:
    """One header of a request; None when it is not there, the first when it is there twice."""
    wanted = name.lower().encode()
    found = next((value for key, value in scope["headers"] if key == wanted), None)
    return None if found is None else str(found.decode("latin-1"))
