"""The practitioner's own figures for scripts: looked up, put in use, and looked at with what they would change."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.preview import preview
from lowsimmer.loads.report import report
from lowsimmer.publishing.figures import preview_record
from lowsimmer.reference.own import OwnFigures, read_own
from lowsimmer.store.records import DocumentKind, NotKept
from lowsimmer.store.store import Store
from lowsimmer.web.api import records
from lowsimmer.web.api.answers import Record, answer
from lowsimmer.web.api.models import FiguresAsked, FiguresText
from lowsimmer.web.kitchen import FIGURES, kept_figures, read_kept
from lowsimmer.web.pages.figures import NAME, keep


def figures_routes(store: Store) -> APIRouter:
    """The operations on own figures."""
    router = APIRouter()

    @router.get("", response_model=records.FiguresKept)
    def get_figures() -> Response:
        """The figures in use, as CSV."""
        return answer(_in_use(store))

    @router.put("", response_model=records.FiguresKept)
    def put_figures(given: FiguresText) -> Response:
        """Put figures in use, in place of all before; those stay in the history. One wrong row refuses them all."""
        _read(given.text)
        keep(store, given.text, given.writer)
        return answer(_in_use(store))

    @router.post("/preview", response_model=records.FiguresPreview)
    def preview_figures(given: FiguresAsked) -> Response:
        """What figures would change, as by `lowsimmer figures --json`, against those in use; nothing is kept."""
        return answer(_preview(store, given))

    return router


def _in_use(store: Store) -> Record:
    try:
        head = store.head(DocumentKind.FIGURES, FIGURES)
    except NotKept:
        return {"text": "", "rows": 0, "version": None}
    return {"text": head.text, "rows": len(_read(head.text).rows), "version": head.number}


def _read(text: str) -> OwnFigures:
    return read_own(text, NAME) if text.strip() else OwnFigures(NAME, ())


def _preview(store: Store, given: FiguresAsked) -> Record:
    """The figures against those in use, with the dishes and plates that were asked about."""
    named = [(DocumentKind.DISH, name) for name in given.dishes]
    named += [(DocumentKind.PLATE, name) for name in given.plates]
    files = {f"{name}{kind.suffix}": (kind, name) for kind, name in named}

    def assess(file: str) -> Assessment:
        kind, name = files[file]
        return report(read_kept(store, kind, store.head(kind, name).text), given.phase).result

    return preview_record(preview(_read(given.text), list(files), assess, kept_figures(store)))
