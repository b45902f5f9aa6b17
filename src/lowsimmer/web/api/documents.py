"""Dishes and plates for scripts: kept, changed, undone, compared, judged and taken apart."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from lowsimmer.loads.report import Report
from lowsimmer.loads.why import explain
from lowsimmer.publishing.records import assessment_record
from lowsimmer.publishing.why import why_record
from lowsimmer.reference.own import using
from lowsimmer.store.differ import differences
from lowsimmer.store.records import DocumentKind, Edit, Version
from lowsimmer.store.store import Store
from lowsimmer.store.titles import title_of
from lowsimmer.web.api import records
from lowsimmer.web.api.answers import Record, answer, document_record, version_record
from lowsimmer.web.api.models import (
    By,
    Change,
    Count,
    GroupInPath,
    NameInPath,
    NewDocument,
    NumberInPath,
    PhaseAsked,
    ServingsAsked,
    Start,
    Words,
)
from lowsimmer.web.kitchen import assessed, kept_figures, read_kept


def document_routes(store: Store, kind: DocumentKind) -> APIRouter:
    """The operations on one kind of document."""
    router = APIRouter()
    _looking(router, store, kind)
    _looking_back(router, store, kind)
    _changing(router, store, kind)
    _taking_off(router, store, kind)
    _walking(router, store, kind)
    if kind is DocumentKind.DISH:
        _judging_dishes(router, store)
    else:
        _judging_plates(router, store)
    return router


def _standing(store: Store, kind: DocumentKind, name: str) -> Record:
    """A document with its newest text."""
    return document_record(store.get(kind, name), store.head(kind, name).text)


def _looking(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    @router.get("", response_model=records.DocumentList)
    def list_all(words: Words = "", start: Start = 0, count: Count = 50, removed: bool = False) -> Response:
        """Those on the bench, or with `removed` those taken off it; the newest change first."""
        found = [document_record(each) for each in store.list(kind, words, start, count, removed)]
        return answer({"count": store.count(kind, words, removed), "start": start, "documents": found})

    @router.get("/{name}", response_model=records.DocumentWithText)
    def get_one(name: NameInPath) -> Response:
        """One of them with its newest text, also one that was taken off the bench."""
        return answer(_standing(store, kind, name))


def _looking_back(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    @router.get("/{name}/versions", response_model=records.VersionList)
    def history(name: NameInPath, start: Start = 0, count: Count = 50) -> Response:
        """Its versions without their texts, the newest first."""
        versions = store.history(kind, name)
        shown = [version_record(each) for each in versions[start : start + count]]
        return answer({"count": len(versions), "start": start, "versions": shown})

    @router.get("/{name}/versions/{number}", response_model=records.VersionWithText)
    def get_version(name: NameInPath, number: NumberInPath) -> Response:
        """One version with its text."""
        return answer(version_record(store.version(kind, name, number), with_text=True))

    @router.get("/{name}/differences/{older}/{newer}", response_model=list[records.LineDifference])
    def compare(name: NameInPath, older: NumberInPath, newer: NumberInPath) -> Response:
        """What changed from one version to another, line by line; blank lines are no difference."""
        before, after = (store.version(kind, name, number).text for number in (older, newer))
        found = differences(before, after)
        return answer([{"kind": each.kind, "old": each.old, "new": each.new} for each in found])


def _changing(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    @router.post("", status_code=201, response_model=records.DocumentWithText)
    def create(given: NewDocument) -> Response:
        """Keep a new one, whole or half written; its name is made of its title and never changes."""
        title = given.title.strip() or title_of(kind, given.text)
        made = store.create(kind, title, given.text, given.writer, given.how)
        return answer(document_record(store.get(kind, made.name), made.text), 201)

    @router.put("/{name}", response_model=records.SavedChange)
    def edit(name: NameInPath, given: Change) -> Response:
        """Change it. What others wrote since `base` is merged; when this answers, it is kept."""
        saved = store.edit(Edit(kind, name, given.base, given.text, given.writer, given.how))
        return answer(
            {
                "number": saved.version.number,
                "mine": saved.mine,
                "merged": saved.merged,
                "doubled": list(saved.doubled),
                "document": document_record(store.get(kind, name), saved.version.text),
            }
        )


def _taking_off(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    @router.delete("/{name}", response_model=records.DocumentKept)
    def remove(name: NameInPath) -> Response:
        """Take it off the bench; all its versions stay kept."""
        store.remove(kind, name, "api")
        return answer(document_record(store.get(kind, name)))

    @router.post("/{name}/put-back", response_model=records.DocumentKept)
    def put_back(name: NameInPath) -> Response:
        """Put it back on the bench."""
        store.put_back(kind, name, "api")
        return answer(document_record(store.get(kind, name)))


def _walking(router: APIRouter, store: Store, kind: DocumentKind) -> None:
    def walked(name: str, made: Version | None) -> Response:
        return answer({"moved": made is not None, "document": _standing(store, kind, name)})

    @router.post("/{name}/undo", response_model=records.Walked)
    def undo(name: NameInPath, given: By | None = None) -> Response:
        """One step back, as a new version."""
        return walked(name, store.undo(kind, name, (given or By()).writer))

    @router.post("/{name}/redo", response_model=records.Walked)
    def redo(name: NameInPath, given: By | None = None) -> Response:
        """One step forward again, as a new version; possible until the next edit."""
        return walked(name, store.redo(kind, name, (given or By()).writer))


def assessment_of(store: Store, report: Report) -> Record:
    """The record of an assessment, own figures in use."""
    with using(kept_figures(store)):
        return assessment_record(report.result, report.phases)


def _judged(store: Store, kind: DocumentKind, name: str, phase: str, servings: float = 1.0) -> Report:
    """The newest text of a document judged."""
    return assessed(store, read_kept(store, kind, store.head(kind, name).text), phase, servings)


def _judging_dishes(router: APIRouter, store: Store) -> None:
    kind = DocumentKind.DISH

    @router.get("/{name}/assessment", response_model=records.AssessmentRecord)
    def assessment(name: NameInPath, phase: PhaseAsked = "restriction", servings: ServingsAsked = 1.0) -> Response:
        """One serving of it, or as many as said, judged as by `lowsimmer assess --json`."""
        return answer(assessment_of(store, _judged(store, kind, name, phase, servings)))

    @router.get("/{name}/why/{group}", response_model=records.WhyRecord)
    def why(
        name: NameInPath, group: GroupInPath, phase: PhaseAsked = "restriction", servings: ServingsAsked = 1.0
    ) -> Response:
        """One group or sum taken apart, as by `lowsimmer why --json`."""
        return answer(why_record(explain(_judged(store, kind, name, phase, servings).result, group)))


def _judging_plates(router: APIRouter, store: Store) -> None:
    kind = DocumentKind.PLATE

    @router.get("/{name}/assessment", response_model=records.AssessmentRecord)
    def assessment(name: NameInPath, phase: PhaseAsked = "restriction") -> Response:
        """Everything on it judged as by `lowsimmer assess --json`; its dishes are those that are kept."""
        return answer(assessment_of(store, _judged(store, kind, name, phase)))

    @router.get("/{name}/why/{group}", response_model=records.WhyRecord)
    def why(name: NameInPath, group: GroupInPath, phase: PhaseAsked = "restriction") -> Response:
        """One group or sum taken apart, as by `lowsimmer why --json`."""
        return answer(why_record(explain(_judged(store, kind, name, phase).result, group)))
