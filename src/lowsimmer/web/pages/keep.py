"""Keeping: taking everything out as open files, backing up and restoring, bringing files in, putting back, the check.

What replaces or adds much is done in two steps: first shown, then done by a second form. Long work runs as a job whose
page shows how far it is and can be read again at any time.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Any
from weakref import WeakKeyDictionary

from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from lowsimmer.domain.errors import InputError
from lowsimmer.store.bring import Choice, Incoming, Standing, Watch, bring, files_of, preview
from lowsimmer.store.keeping import Manifest, backup, check_backup, export_zip, restore
from lowsimmer.store.records import Document, DocumentKind
from lowsimmer.store.store import Store
from lowsimmer.web.jobs import Job, Jobs, Shelf
from lowsimmer.web.pages.common import bench, is_htmx, render, see_other, writer

MOST_FILES = 2_000
MOST_SHOWN = 200  # removed documents on the page
WORD = "replace"
ZIP = "application/zip"
ROOMS = {DocumentKind.DISH: "dishes", DocumentKind.PLATE: "plates"}


@dataclass(frozen=True, slots=True)
class Uploaded:
    """A backup that was sent, in a file of its own until it is restored or forgotten."""

    folder: tempfile.TemporaryDirectory[str]
    file: str
    manifest: Manifest

    @property
    def path(self) -> Path:
        """Where the file lies meanwhile."""
        return Path(self.folder.name) / "backup.zip"


class Desk:
    """What this page holds for one store: backups sent, files shown before they are brought in, jobs."""

    def __init__(self) -> None:
        self.backups: Shelf[Uploaded] = Shelf()
        self.incoming: Shelf[list[Incoming]] = Shelf()
        self.jobs = Jobs()


_DESKS: WeakKeyDictionary[Store, Desk] = WeakKeyDictionary()
_LOCK = Lock()


def desk(request: Request) -> Desk:
    """The desk of the store that serves this request."""
    with _LOCK:
        return _DESKS.setdefault(bench(request).store, Desk())


def show(request: Request) -> Response:
    """The page: each thing that can be done, and what lies removed."""
    return render(request, "keep.html", **_values(request))


def _values(request: Request, trouble: str = "", checked: bool = False) -> dict[str, Any]:
    store = bench(request).store
    return {
        "trouble": trouble,
        "checked": checked,
        "found": store.check() if checked else [],
        "counts": {kind.value: store.count(kind) for kind in DocumentKind},
        "removed": _removed(store),
        "where": _where(store),
        "rooms": ROOMS,
    }


def _removed(store: Store) -> list[Document]:
    found = [each for kind in DocumentKind for each in store.list(kind, count=MOST_SHOWN, removed=True)]
    return sorted(found, key=lambda each: each.removed_at or each.changed_at, reverse=True)[:MOST_SHOWN]


def _where(store: Store) -> str:
    """The file of the store by its name, or the database: where exactly it lies is the business of who started it."""
    address = store.engine.url
    name = Path(address.database or "").name
    return f"the file {name}" if address.get_backend_name() == "sqlite" else f"the PostgreSQL database {name}"


def check(request: Request) -> Response:
    """The store looked through, and what was found said."""
    return render(request, "keep.html", **_values(request, checked=True))


def put_back_form(request: Request, form: FormData) -> Response:
    """A removed document back on the bench."""
    kind, name = str(form.get("kind", "")), str(form.get("name", ""))
    if kind not in set(DocumentKind):
        raise InputError("The form does not say what to put back.", "Open Keeping again.")
    bench(request).store.put_back(DocumentKind(kind), name, writer(request))
    room = ROOMS.get(DocumentKind(kind))
    return see_other(f"/{room}/{name}" if room else "/figures")


async def put_back(request: Request) -> Response:
    """A removed document back on the bench."""
    form = await request.form()
    return await run_in_threadpool(put_back_form, request, form)


# Taking out


def _today() -> str:
    return f"{datetime.now(UTC):%Y-%m-%d}"


def export(request: Request) -> Response:
    """Every dish, plate and own figure as open files in one zip."""
    name = f"lowsimmer-files-{_today()}.zip"
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return Response(export_zip(bench(request).store), media_type=ZIP, headers=headers)


def back_up(request: Request) -> Response:
    """One file that holds everything with all versions."""
    folder = tempfile.TemporaryDirectory(prefix="lowsimmer-")
    path = Path(folder.name) / "backup.zip"
    backup(bench(request).store, path)
    name = f"lowsimmer-backup-{_today()}.zip"
    gone = BackgroundTask(folder.cleanup)
    return FileResponse(path, media_type=ZIP, filename=name, headers={"Cache-Control": "no-store"}, background=gone)


# Restoring


async def receive_backup(request: Request) -> Response:
    """A backup sent: checked and held, nothing replaced yet."""
    async with request.form(max_files=1) as form:
        given = form.get("file")
        if not isinstance(given, UploadFile) or not given.filename:
            return await run_in_threadpool(_again, request, "No file was chosen. Choose a backup file first.")
        data = await given.read()
        return await run_in_threadpool(_receive_backup, request, given.filename, data)


def _again(request: Request, trouble: str) -> Response:
    return render(request, "keep.html", 422, **_values(request, trouble))


def _receive_backup(request: Request, file: str, data: bytes) -> Response:
    folder = tempfile.TemporaryDirectory(prefix="lowsimmer-")
    path = Path(folder.name) / "backup.zip"
    path.write_bytes(data)
    try:
        manifest = check_backup(path)
    except InputError as error:
        folder.cleanup()
        return _again(request, str(error))
    key = desk(request).backups.put(Uploaded(folder, file, manifest))
    return see_other(f"/keep/restore/{key}")


def restore_page(request: Request) -> Response:
    """What a backup holds, and the form that replaces everything by it."""
    return _restore_page(request, "", 200)


def _restore_page(request: Request, trouble: str, status: int) -> Response:
    key = request.path_params["key"]
    held, store = desk(request).backups.get(key), bench(request).store
    values = {
        "key": key,
        "held": held,
        "holds": _holds(held.manifest),
        "made": _date(held.manifest.made_at),
        "counts": {kind.value: store.count(kind) for kind in DocumentKind},
        "trouble": trouble,
        "word": WORD,
    }
    return render(request, "restore.html", status, **values)


def _holds(manifest: Manifest) -> list[str]:
    """What a backup holds, in words."""
    documents, versions = manifest.documents, manifest.versions
    return [
        f"{documents} {'document' if documents == 1 else 'documents'}: dishes, plates and own figures, "
        "also those taken off the bench",
        f"{versions} {'version' if versions == 1 else 'versions'} of them",
        "the settings of the bench",
    ]


def _date(words: str) -> str:
    """A date as a backup writes it, for people; as it stands when it is none."""
    try:
        return f"{datetime.fromisoformat(words):%d %b %Y, %H:%M}"
    except ValueError:
        return words[:40]


async def restore_now(request: Request) -> Response:
    """Replace everything, when the word was typed."""
    form = await request.form()
    return await run_in_threadpool(_restore_now, request, form)


def _restore_now(request: Request, form: FormData) -> Response:
    typed = str(form.get("word", "")).strip().lower()
    if typed != WORD:
        said = f"'{typed[:40]}' was typed" if typed else "Nothing was typed"
        return _restore_page(request, f"{said}; nothing was replaced. Type the word {WORD}.", 422)
    store, held = bench(request).store, desk(request).backups.take(request.path_params["key"])
    return _started(request, "Restoring a backup", lambda job: _restored(store, held, job), stops=False)


def _restored(store: Store, held: Uploaded, job: Job) -> tuple[str, ...]:
    restore(store, held.path, job.progress)
    held.folder.cleanup()
    counts = ", ".join(f"{store.count(kind)} {PLURAL[kind]}" for kind in ROOMS)
    return (f"Everything was replaced by what {held.file} held: {counts}.",)


PLURAL = {DocumentKind.DISH: "dishes", DocumentKind.PLATE: "plates", DocumentKind.FIGURES: "tables of own figures"}


# Bringing in


async def receive_files(request: Request) -> Response:
    """Files sent: read and shown, nothing kept yet."""
    async with request.form(max_files=MOST_FILES) as form:
        sent = [each for each in form.getlist("files") if isinstance(each, UploadFile) and each.filename]
        named = [(each.filename or "", await each.read()) for each in sent]
    if not named:
        trouble = "No file was chosen. Choose dish files, plates, a zip or recipe data."
        return await run_in_threadpool(_again, request, trouble)
    return await run_in_threadpool(_receive_files, request, named)


def _receive_files(request: Request, named: list[tuple[str, bytes]]) -> Response:
    try:
        files = [each for name, data in named for each in _unpacked(name, data)]
    except InputError as error:
        return _again(request, str(error))
    key = desk(request).incoming.put(list(preview(bench(request).store, files)))
    return see_other(f"/keep/import/{key}")


def _unpacked(name: str, data: bytes) -> list[tuple[str, bytes]]:
    """The files of a zip, or the one file itself."""
    return list(files_of(data)) if data.startswith(b"PK") else [(name, data)]


MEANING = {
    Standing.NEW: "Nothing of this name or text is on the bench.",
    Standing.TAKEN: "Another text of this name is on the bench.",
    Standing.ALIKE: "The same text, but for blank space, is on the bench under another name.",
    Standing.SAME: "The bench holds exactly this text already.",
    Standing.UNUSABLE: "These are left out, for the reason given.",
}  # in the order of the page
WORDS = {
    Choice.TAKE: "take it",
    Choice.LEAVE: "leave it out",
    Choice.BOTH: "keep both, this one under a new name",
    Choice.VERSION: "as a new version of the kept one",
}


def import_page(request: Request) -> Response:
    """Each file with its standing, and a choice for each."""
    key = request.path_params["key"]
    listed = list(enumerate(desk(request).incoming.get(key)))
    values = {
        "key": key,
        "by_standing": {each: [(place, one) for place, one in listed if one.standing is each] for each in MEANING},
        "usable": any(one.standing is not Standing.UNUSABLE for _, one in listed),
        "words": WORDS,
        "meaning": MEANING,
    }
    return render(request, "import.html", **values)


async def import_now(request: Request) -> Response:
    """Bring the files in as chosen."""
    form = await request.form(max_fields=2 * MOST_FILES)
    return await run_in_threadpool(_import_now, request, form)


def _import_now(request: Request, form: FormData) -> Response:
    store, given = bench(request).store, writer(request)
    incoming = desk(request).incoming.take(request.path_params["key"])
    chosen = [str(form.get(f"choice-{place}", "")) for place in range(len(incoming))]
    choices = {place: Choice(word) for place, word in enumerate(chosen) if word in set(Choice)}

    def work(job: Job) -> tuple[str, ...]:
        return (bring(store, incoming, choices, given, Watch(job.progress, job.halted.is_set)).words,)

    return _started(request, "Bringing files in", work)


# Jobs


def _started(request: Request, title: str, work: Callable[[Job], tuple[str, ...]], stops: bool = True) -> Response:
    return see_other(f"/keep/jobs/{desk(request).jobs.start(title, work, stops)}")


def job_page(request: Request) -> Response:
    """How far a job is, or what it came to; for htmx the piece alone."""
    key = request.path_params["key"]
    template = "_job.html" if is_htmx(request) else "job.html"
    return render(request, template, key=key, job=desk(request).jobs.get(key), oob=is_htmx(request))


def stop_job(request: Request) -> Response:
    """Stop a job after what it is doing now; what it has kept stays kept."""
    key = request.path_params["key"]
    desk(request).jobs.get(key).stop()
    return see_other(f"/keep/jobs/{key}")


routes = [
    Route("/keep", show),
    Route("/keep/check", check),
    Route("/keep/put-back", put_back, methods=["POST"]),
    Route("/keep/export", export),
    Route("/keep/backup", back_up),
    Route("/keep/restore", receive_backup, methods=["POST"]),
    Route("/keep/restore/{key}", restore_page),
    Route("/keep/restore/{key}", restore_now, methods=["POST"]),
    Route("/keep/import", receive_files, methods=["POST"]),
    Route("/keep/import/{key}", import_page),
    Route("/keep/import/{key}", import_now, methods=["POST"]),
    Route("/keep/jobs/{key}", job_page),
    Route("/keep/jobs/{key}/stop", stop_job, methods=["POST"]),
]
