"""The practitioner's own figures: looked at with what they would change, and only then used.

Two steps: `look` shows errors row by row or the changes, `use` keeps exactly the text that was looked at. Nothing that
was given is lost: a text that cannot be used stays in the field, and every text that was in use stays in the history.
"""

from __future__ import annotations

from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from lowsimmer.domain.errors import InputError
from lowsimmer.reading.files import decode
from lowsimmer.reference.own import BrokenFiguresError, OwnFigures, read_own
from lowsimmer.store.records import DocumentKind, Edit, NotKept, Version
from lowsimmer.store.store import Store
from lowsimmer.web.kitchen import FIGURES
from lowsimmer.web.ownfigures import COLUMN_WORDS, Changes, OwnRow, changes_of, own_rows, template_text
from lowsimmer.web.pages.common import bench, render, see_other, writer

KIND = DocumentKind.FIGURES
NAME = f"{FIGURES}.csv"
LONGEST = 900_000  # characters of the field; a request holds 1 MB
MOST_VERSIONS = 30
OUTRUN = (
    "Another window changed the own figures meanwhile. Nothing of yours was taken yet: below is what your text would "
    "change as things stand now."
)


@dataclass(frozen=True, slots=True)
class Given:
    """A text of figures that was given: what it would change, or why it cannot be used, row by row."""

    text: str
    changes: Changes | None = None
    trouble: tuple[str, ...] = ()
    next_step: str = ""


def kept(store: Store) -> str:
    """The text of the figures in use; empty when there are none."""
    version = _head(store)
    return version.text if version else ""


def _head(store: Store) -> Version | None:
    try:
        return store.head(KIND, FIGURES)
    except NotKept:
        return None


def show(request: Request) -> Response:
    """The figures in use, and a field for others; `version` puts an earlier text into the field."""
    store, number = bench(request).store, request.query_params.get("version", "")
    usable = number.isascii() and number.isdigit() and len(number) < 10
    text = store.version(KIND, FIGURES, int(number)).text if usable else kept(store)
    return _page(request, Given(text), told="This is the text of an earlier version." if usable else "")


def _page(request: Request, given: Given, status: int = 200, told: str = "") -> Response:
    store = bench(request).store
    version = _head(store)
    rows, wrong = _in_use(version.text if version else "")
    return render(
        request,
        "figures.html",
        status,
        given=given,
        told=told,
        rows=rows,
        wrong=wrong,
        base=version.number if version else 0,
        at=version.at if version else None,
        versions=store.history(KIND, FIGURES)[:MOST_VERSIONS] if version else [],
        columns=COLUMN_WORDS,
    )


def _in_use(text: str) -> tuple[list[OwnRow], str]:
    """The figures in use as rows; or what is wrong with them, where a text came in by another way."""
    try:
        return (own_rows(read_own(text, NAME)) if text.strip() else []), ""
    except InputError as error:
        return [], str(error)


async def look(request: Request) -> Response:
    """What the given figures would change, or what is wrong with them; nothing is kept."""
    async with request.form() as form:
        typed = form.get("text", "")
        try:
            text = await _text(form)
        except InputError as error:
            given = Given(typed if isinstance(typed, str) else "", trouble=(error.sentence,), next_step=error.next_step)
            return await run_in_threadpool(_page, request, given, 400)
    return await run_in_threadpool(_look, request, text)


async def _text(form: FormData) -> str:
    """The text of a file where one was chosen, else that of the field. Raises InputError."""
    file, typed = form.get("file"), form.get("text", "")
    if isinstance(file, UploadFile) and file.filename:
        return _plain(decode(await file.read(), f"'{file.filename[:60]}'"))
    return _plain(typed if isinstance(typed, str) else "")


def _plain(text: str) -> str:
    """Line ends made plain. Raises InputError for a text that is too long to be kept."""
    if len(text) > LONGEST:
        raise InputError(f"The text holds {len(text)} characters.", f"Give at most {LONGEST}.")
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")


def _look(request: Request, text: str, told: str = "") -> Response:
    given = looked_at(bench(request).store, text)
    return _page(request, given, 400 if given.trouble else 200, told)


def looked_at(store: Store, text: str) -> Given:
    """A text with what it would change against the figures in use, or with every row that is broken."""
    if not text.strip():
        return Given(text, trouble=("No figure was given.",), next_step="To use none, take those in use out of use.")
    try:
        return Given(text, changes_of(store, read_own(text, NAME), _readable(kept(store))))
    except BrokenFiguresError as error:
        return Given(text, trouble=tuple(_upper(each.sentence) for each in error.rows), next_step=error.next_step)
    except InputError as error:
        return Given(text, trouble=(error.sentence,), next_step=error.next_step)


def _readable(text: str) -> OwnFigures | None:
    """The figures in use; None for none, or for a text that cannot be used."""
    try:
        return read_own(text, NAME) if text.strip() else None
    except InputError:
        return None


def _upper(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


async def use(request: Request) -> Response:
    """Use the figures that were looked at."""
    async with request.form() as form:
        text, base = form.get("text", ""), form.get("base", "")
    given = _plain(text if isinstance(text, str) else "")
    return await run_in_threadpool(_use, request, given, str(base))


def _use(request: Request, text: str, base: str) -> Response:
    """Kept as a version, if it can be used whole and nobody was faster; else looked at again."""
    store = bench(request).store
    if base != str(_number(store)):
        return _look(request, text, OUTRUN)
    if looked := _wrong(text):
        return _page(request, looked, 400)
    keep(store, text, writer(request))
    return see_other("/figures#in-use")


def _wrong(text: str) -> Given | None:
    """What is wrong with a text; None for one that can be used."""
    try:
        read_own(text, NAME)
    except InputError as error:
        return Given(text, trouble=(error.sentence,), next_step=error.next_step)
    return None


def _number(store: Store) -> int:
    version = _head(store)
    return version.number if version else 0


def keep(store: Store, text: str, by: str) -> None:
    """Put figures in use; those before them stay in the history. An empty text takes all out of use.

    Own figures are a whole: a text that another window kept in the same moment is never mixed into this one by lines.
    """
    version = _head(store)
    if version is None:
        store.create(KIND, FIGURES, text, by, "pasted")
        return
    saved = store.edit(Edit(KIND, FIGURES, version.number, text, by, "pasted"))
    if saved.merged:
        store.edit(Edit(KIND, FIGURES, saved.version.number, text, by, "pasted"))


def take_out(request: Request) -> Response:
    """Take all own figures out of use; their text stays in the history."""
    store = bench(request).store
    if kept(store).strip():
        keep(store, "", writer(request))
    return see_other("/figures#in-use")


def download(request: Request) -> Response:
    """The figures in use as a file; the template where there are none."""
    return _csv(kept(bench(request).store) or template_text(), NAME)


def template(_request: Request) -> Response:
    """An empty table with the columns explained."""
    return _csv(template_text(), "own-figures-template.csv")


def _csv(text: str, name: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return PlainTextResponse(text, headers=headers, media_type="text/csv")


routes = [
    Route("/figures", show),
    Route("/figures", look, methods=["POST"]),
    Route("/figures/use", use, methods=["POST"]),
    Route("/figures/out", take_out, methods=["POST"]),
    Route("/figures/own-figures.csv", download),
    Route("/figures/template.csv", template),
]
