"""How the API answers: JSON that nobody keeps a copy of, and one sentence for everything that is refused."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from sqlalchemy.exc import OperationalError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse

from lowsimmer.domain.errors import DomainError, InputError
from lowsimmer.store.records import Document, NotKept, Version
from lowsimmer.web.api.models import NO_NUL, SLUG
from lowsimmer.web.api.records import Trouble

Record = dict[str, Any]
DESCRIBED = "See the page /api for what each call takes."
MOST_NAMED = 5  # wrong fields that are named in one sentence
_PATTERNS = {NO_NUL: "the text holds a NUL character", SLUG: "expected small letters, digits and single hyphens"}
_REFUSED = {
    400: "What was given cannot be used.",
    401: "The bench has a password; sign in first.",
    403: "A change without the header Origin with the address of the bench.",
    404: "There is no such thing.",
    413: "More than 1 MB.",
    421: "Another host name than that of the bench.",
    422: "A text or number that is missing, of the wrong kind or outside its limits.",
    429: "Too many requests at once.",
    503: "The store does not answer; nothing was changed.",
}
REFUSALS: dict[int | str, dict[str, Any]] = {
    code: {"model": Trouble, "description": words} for code, words in _REFUSED.items()
}


class _Json(JSONResponse):
    """JSON of any text: an escape in a front matter can make half a surrogate pair, which UTF-8 cannot hold."""

    def render(self, content: Any) -> bytes:
        """The body, half pairs replaced by question marks."""
        text = json.dumps(content, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
        return text.encode("utf-8", "replace")


def answer(content: Record | Sequence[Record], status: int = 200) -> JSONResponse:
    """An answer. It may change with every edit, so nothing on the way keeps a copy."""
    return _Json(content, status, {"Cache-Control": "no-store"})


def document_record(of: Document, text: str | None = None) -> Record:
    """A document; with its text where one is given."""
    record = {
        "kind": of.kind.value,
        "name": of.name,
        "title": of.title,
        "version": of.head,
        "made_at": _moment(of.made_at),
        "changed_at": _moment(of.changed_at),
        "removed_at": None if of.removed_at is None else _moment(of.removed_at),
    }
    return record if text is None else {**record, "text": text}


def version_record(of: Version, with_text: bool = False) -> Record:
    """A version, with its text or without."""
    record = {
        "number": of.number,
        "base": of.base,
        "at": _moment(of.at),
        "how": of.how,
        "writer": of.writer,
        "restores": of.restores,
    }
    return {**record, "text": of.text} if with_text else record


def _moment(at: datetime) -> str:
    """A time of the store, which is UTC, in the words of ISO 8601."""
    return at.isoformat(timespec="milliseconds") + "Z"


def answer_in_sentences(api: FastAPI) -> None:
    """Let every refusal be a record of `error` and `next_step`."""
    api.add_exception_handler(DomainError, _unusable)
    api.add_exception_handler(RequestValidationError, _invalid)
    api.add_exception_handler(HTTPException, _failed)
    api.add_exception_handler(OperationalError, _store_away)


def _refusal(status: int, sentence: str, next_step: str) -> JSONResponse:
    return answer({"error": sentence, "next_step": next_step}, status)


async def _unusable(_request: Request, error: Exception) -> JSONResponse:
    status = 404 if isinstance(error, NotKept) else 400
    if isinstance(error, InputError):
        return _refusal(status, error.sentence, error.next_step)
    return _refusal(status, str(error), DESCRIBED)


async def _invalid(_request: Request, error: Exception) -> JSONResponse:
    found = error.errors()[:MOST_NAMED] if isinstance(error, RequestValidationError) else []
    return _refusal(422, f"{'; '.join(map(_wrong, found))}.", DESCRIBED)


def _wrong(found: Record) -> str:
    """One wrong field: where it stands, and what was expected."""
    place = ".".join(str(part)[:40] for part in found["loc"])
    known = _PATTERNS.get(found.get("ctx", {}).get("pattern", ""))
    return f"{place}: {known or str(found['msg']).removeprefix('Value error, ')}"


async def _failed(request: Request, error: Exception) -> JSONResponse:
    status = error.status_code if isinstance(error, HTTPException) else 400
    words = {
        400: "The body is not JSON that can be read.",
        404: "There is nothing under this address.",
        405: f"This address does not take {request.method}.",
    }
    response = _refusal(status, words.get(status, str(getattr(error, "detail", error))), DESCRIBED)
    response.headers.update(getattr(error, "headers", None) or {})
    return response


async def _store_away(_request: Request, _error: Exception) -> JSONResponse:
    return _refusal(503, "The store does not answer; nothing was changed.", "Try again in a moment.")
