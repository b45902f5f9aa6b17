"""The practitioner's own figures: read, looked at with what they would change, and only then used."""

from __future__ import annotations

import csv
import io
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from lowsimmer.domain.errors import InputError
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.preview import preview
from lowsimmer.publishing.figures import preview_text
from lowsimmer.reference.own import COLUMNS, read_own
from lowsimmer.store.records import DocumentKind, Edit, NotKept
from lowsimmer.store.store import Store
from lowsimmer.web.kitchen import FIGURES
from lowsimmer.web.pages.common import bench, render, see_other, writer

KIND = DocumentKind.FIGURES
NAME = f"{FIGURES}.csv"
LONGEST = 400_000


def kept(store: Store) -> str:
    """The text of the figures in use; empty when there are none."""
    try:
        return store.head(KIND, FIGURES).text
    except NotKept:
        return ""


def show(request: Request) -> Response:
    """The figures in use, and a field for others."""
    text = kept(bench(request).store)
    return render(request, "figures.html", **_values(text, text))


def _values(text: str, in_use: str, changes: str = "", trouble: str = "") -> dict[str, Any]:
    lines = [line for line in in_use.splitlines() if line.strip() and not line.startswith("#")]
    rows = list(csv.reader(io.StringIO("\n".join(lines))))
    columns = ",".join(COLUMNS)
    return {"text": text, "rows": rows, "columns": columns, "changes": changes, "trouble": trouble, "in_use": in_use}


async def take(request: Request) -> Response:
    """Look at what figures would change ('look'), or use them ('use'). What cannot be used stays in the field."""
    form = await request.form()
    given = form.get("text", "")
    text = (given if isinstance(given, str) else "")[:LONGEST].replace("\r\n", "\n")
    return await run_in_threadpool(_take, request, text, str(form.get("do", "look")))


def _take(request: Request, text: str, do: str) -> Response:
    store = bench(request).store
    try:
        changes = _changes(text)
    except InputError as error:
        return render(request, "figures.html", 400, **_values(text, kept(store), trouble=str(error)))
    if do != "use":
        return render(request, "figures.html", **_values(text, kept(store), changes=changes))
    keep(store, text, writer(request))
    return see_other("/figures")


def _changes(text: str) -> str:
    """What the figures would change, in words. Raises InputError for what cannot be used."""
    return preview_text(preview(read_own(text, NAME), [], _no_dish)) if text.strip() else "No own figure is used then."


def _no_dish(_file: str) -> Assessment:
    raise AssertionError("no dish is asked for")


def keep(store: Store, text: str, by: str) -> None:
    """Put figures in use; those before them stay in the history. An empty text takes all out of use."""
    if text.strip():
        read_own(text, NAME)
    try:
        store.edit(Edit(KIND, FIGURES, store.get(KIND, FIGURES).head, text, by, "imported"))
    except NotKept:
        store.create(KIND, FIGURES, text, by, "imported")


def download(request: Request) -> Response:
    """The figures in use as a file."""
    headers = {"Content-Disposition": f'attachment; filename="{NAME}"'}
    return PlainTextResponse(
        kept(bench(request).store) or ",".join(COLUMNS) + "\n", headers=headers, media_type="text/csv"
    )


routes = [
    Route("/figures", show),
    Route("/figures", take, methods=["POST"]),
    Route("/figures/own-figures.csv", download),
]
