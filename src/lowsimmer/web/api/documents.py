"""Dishes and plates for scripts: kept, changed, undone, judged and taken apart."""

from __future__ import annotations

from typing import Any, Literal

from fastapi import APIRouter

from lowsimmer.loads.why import explain
from lowsimmer.publishing.records import assessment_record
from lowsimmer.publishing.why import why_record
from lowsimmer.reference.own import using
from lowsimmer.store.differ import differences
from lowsimmer.store.records import Document, DocumentKind, Edit, Version
from lowsimmer.store.store import Store
from lowsimmer.web.api.models import Change, Count, Name, NewDocument, Number, Start, Words
from lowsimmer.web.kitchen import assessed, kept_figures, read_kept

WRITER = "api"
Record = dict[str, Any]
Phase = Literal["restriction", "maintenance"]


def document_record(of: Document) -> Record:
    """What is kept, without its text."""
    return {
        "name": of.name,
        "title": of.title,
        "head": of.head,
        "changed_at": of.changed_at.isoformat(),
        "removed": of.removed_at is not None,
    }


def version_record(of: Version, text: bool = True) -> Record:
    """One version."""
    head = {"name": of.name, "number": of.number, "base": of.base, "at": of.at.isoformat(), "how": of.how}
    return head | ({"text": of.text} if text else {})


def document_routes(store: Store, kind: DocumentKind) -> APIRouter:
    """The operations on one kind of document."""
    router = APIRouter()
    _looking(router, store, kind)
    _changing(router, store, kind)
    _judging(router, store, kind)
    return router


def _looking(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    @router.get("")
    def listed(words: Words = "", start: Start = 0, count: Count = 50) -> Record:
        """Those that hold all the words, the newest change first."""
        found = [document_record(each) for each in store.list(kind, words, start, count)]
        return {"count": store.count(kind, words), "documents": found}

    @router.get("/{name}")
    def one(name: Name) -> Record:
        """The newest version with its text."""
        return document_record(store.get(kind, name)) | version_record(store.head(kind, name))

    @router.get("/{name}/versions")
    def versions(name: Name) -> list[Record]:
        """All versions without their texts, the newest first."""
        return [version_record(each, text=False) for each in store.history(kind, name)]

    @router.get("/{name}/versions/{number}")
    def version(name: Name, number: Number) -> Record:
        """One version with its text."""
        return version_record(store.version(kind, name, number))

    @router.get("/{name}/differences/{older}/{newer}")
    def compared(name: Name, older: Number, newer: Number) -> list[Record]:
        """What changed from one version to another, line by line."""
        texts = (store.version(kind, name, number).text for number in (older, newer))
        return [{"kind": each.kind, "old": each.old, "new": each.new} for each in differences(*texts)]


def _changing(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    @router.post("", status_code=201)
    def create(given: NewDocument) -> Record:
        """Keep a new one."""
        return version_record(store.create(kind, given.title or kind.value, given.text, WRITER))

    @router.put("/{name}")
    def change(name: Name, given: Change) -> Record:
        """Change it; what others wrote since `base` is merged."""
        saved = store.edit(Edit(kind, name, given.base, given.text, WRITER))
        return version_record(saved.version) | {"merged": saved.merged, "doubled": list(saved.doubled)}

    @router.delete("/{name}")
    def remove(name: Name) -> Record:
        """Take it off the bench; everything stays kept."""
        store.remove(kind, name, WRITER)
        return document_record(store.get(kind, name))

    @router.post("/{name}/put-back")
    def put_back(name: Name) -> Record:
        """Put it back on the bench."""
        store.put_back(kind, name, WRITER)
        return document_record(store.get(kind, name))

    @router.post("/{name}/undo")
    def undo(name: Name) -> Record:
        """One step back; the newest version as it is then."""
        return version_record(store.undo(kind, name, WRITER) or store.head(kind, name))

    @router.post("/{name}/redo")
    def redo(name: Name) -> Record:
        """One step forward again; the newest version as it is then."""
        return version_record(store.redo(kind, name, WRITER) or store.head(kind, name))


def _judging(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    @router.get("/{name}/assessment")
    def assessment(name: Name, phase: Phase = "restriction") -> Record:
        """The loads of one serving or of the plate, as `lowsimmer assess --json` gives them."""
        report = assessed(store, read_kept(store, kind, store.head(kind, name).text), phase)
        with using(kept_figures(store)):
            return assessment_record(report.result, report.phases)

    @router.get("/{name}/why/{group}")
    def why(name: Name, group: Name, phase: Phase = "restriction") -> Record:
        """One group taken apart, as `lowsimmer why --json` does."""
        report = assessed(store, read_kept(store, kind, store.head(kind, name).text), phase)
        with using(kept_figures(store)):
            return why_record(explain(report.result, group))
