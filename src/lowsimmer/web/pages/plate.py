"""The plate page: which dishes one person eats in one sitting and how much of each, judged as one.

Every change is posted by the form itself and kept as a version at once; without script the same form has a button.
What is posted names the version that it began from, so two windows on one plate lose nothing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.domain.errors import InputError
from lowsimmer.store.records import DocumentKind, Edit, Saved, Version
from lowsimmer.web.pages.common import bench, is_htmx, phase_of, render, see_other, writer
from lowsimmer.web.plateparts import find_dish, judged_values, offered, row_values
from lowsimmer.web.platesheet import MOST_ROWS, UNITS, PlateSheet, Row, plate_sheet, plate_text

PLATE = DocumentKind.PLATE
UNTITLED = "Untitled plate"
LONGEST = 2_000  # characters of one field
LONGEST_TEXT = 100_000
FIRST_ROWS = 4
NEAR = 6


def new(request: Request) -> Response:
    """An empty plate to put dishes on."""
    return _new(request, "", [""] * FIRST_ROWS, [])


def _new(request: Request, title: str, typed: list[str], trouble: list[str], status: int = 200) -> Response:
    dishes = offered(bench(request).store)
    return render(request, "plate_new.html", status, title=title, typed=typed, trouble=trouble, offered=dishes)


async def make(request: Request) -> Response:
    """A new plate; a dish that is not kept is said, and everything typed stays in the form."""
    form = await request.form()
    return await run_in_threadpool(_make, request, form)


def _make(request: Request, form: FormData) -> Response:
    store = bench(request).store
    typed = [_text(each) for each in form.getlist("dish")][:MOST_ROWS]
    title = _text(form.get("title", "")).strip()
    found = [(each, find_dish(store, each)) for each in typed if each.strip()]
    trouble = [_no_dish(each) for each, (name, _) in found if name is None]
    if trouble:
        return _new(request, title, typed, trouble, 422)
    rows = tuple(Row(name) for _, (name, _) in found if name)
    text = plate_text(PlateSheet(title or UNTITLED, rows))
    return see_other(f"/plates/{store.create(PLATE, title or UNTITLED, text, writer(request)).name}")


def _no_dish(words: str) -> str:
    return f"No dish is called '{words.strip()[:80]}'. Pick one from the list, or write it first."


def show(request: Request) -> Response:
    """The page of one plate."""
    store, name = bench(request).store, request.path_params["name"]
    version = store.head(PLATE, name)
    return render(request, "plate.html", **_values(request, version, _told(request)))


def _told(request: Request) -> str:
    """After a form without script: that another window had changed the plate meanwhile."""
    return MERGED if request.query_params.get("merged") else ""


MERGED = (
    "Another window changed this plate meanwhile. Both changes are in what you see now; "
    "each as it was written stands under Versions."
)

BESIDE = (
    "Another window changed this plate as well. Both are kept and judged together; "
    "the fields of this window show only what was written here."
)


async def write(request: Request) -> Response:
    """An edit: kept first, judged then."""
    form = await request.form()
    return await run_in_threadpool(_write, request, form)


def _write(request: Request, form: FormData) -> Response:
    """Keep what the form holds; answer with the pieces that change, or for a browser without script with the page."""
    store, name = bench(request).store, request.path_params["name"]
    base = store.version(PLATE, name, _base(form))
    text, asked = _edited(request, form, base)
    saved = store.edit(Edit(PLATE, name, base.number, text, writer(request)))
    if asked:
        template, status = ("_plate_form.html", 200) if is_htmx(request) else ("plate.html", 422)
        return render(request, template, status, **_values(request, saved.version, asked["said"], asked))
    if not is_htmx(request):
        more = {"phase": phase_of(request)} | ({"merged": "yes"} if saved.merged else {})
        return see_other(f"/plates/{name}?{urlencode(more)}")
    return _changed(request, form, saved)


def _edited(request: Request, form: FormData, base: Version) -> tuple[str, dict[str, Any]]:
    """The new text, and what the page has to ask back: about a dish to add that is not kept."""
    if "text" in form:
        return _text(form["text"], LONGEST_TEXT), {}
    sheet = _sheet(form, plate_sheet(base.text))
    wanted = _wanted(request, form)
    if not wanted:
        return plate_text(sheet), {}
    name, near = find_dish(bench(request).store, wanted)
    if name is None:
        return plate_text(sheet), {"said": _no_dish(wanted), "adding": wanted, "near": near[:NEAR]}
    if len(sheet.rows) >= MOST_ROWS:
        raise InputError(f"This plate holds {MOST_ROWS} dishes already.", "Take one off first.")
    return plate_text(replace(sheet, rows=(*sheet.rows, Row(name)))), {}


def _wanted(request: Request, form: FormData) -> str:
    """The dish to add. What is still being typed there is none yet: htmx posts that too, without the button."""
    if "choose" in form:
        return _text(form["choose"]).strip()
    asked = "adds" in form or not (is_htmx(request) or "off" in form)
    return _text(form.get("add", "")).strip() if asked else ""


def _sheet(form: FormData, old: PlateSheet) -> PlateSheet:
    """The form as typed, less the row that was taken off; what it does not show stays as it was."""
    columns = [[_text(each) for each in form.getlist(key)] for key in ("dish", "number", "unit")]
    if len({len(each) for each in columns}) != 1:
        raise InputError("A row of the form came without its portion.", "Open the plate again and repeat it.")
    rows = [Row(dish, number.strip(), unit.strip()) for dish, number, unit in zip(*columns, strict=True)]
    off = _text(form.get("off", ""))
    if off.isascii() and off.isdigit() and len(off) < 4 and int(off) < len(rows):
        del rows[int(off)]
    title = _text(form.get("title", old.title)).strip() or old.title or UNTITLED
    return replace(old, title=title, notes=_text(form.get("notes", old.notes)), rows=tuple(rows[:MOST_ROWS]))


def _changed(request: Request, form: FormData, saved: Saved) -> Response:
    """What htmx puts in place: after typing the judged part only, so that no field is touched under the fingers.

    Where another window wrote meanwhile, this window's fields go on from its own text (`mine`) and a link shows both.
    """
    version = saved.version
    if {"off", "adds", "choose"} & set(form):
        return render(request, "_plate_form.html", **_values(request, version, _merged_words(MERGED, saved)))
    own = bench(request).store.version(PLATE, version.name, saved.mine) if saved.merged else version
    values = _values(request, version, _merged_words(BESIDE, saved)) | {"number": own.number, "reload": saved.merged}
    return render(request, "_plate_kept.html", **values)


def _merged_words(words: str, saved: Saved) -> str:
    """What is said after a merge; lines that both windows changed are named, for only the last of them counts."""
    if not saved.merged:
        return ""
    lines = "; ".join(line.strip() for line in saved.doubled)
    return f"{words} Both changed the same line, and this window's counts: {lines}." if lines else words


def judged(request: Request) -> Response:
    """The judged part alone, for a plate whose dishes have changed in another window."""
    store, name = bench(request).store, request.path_params["name"]
    return render(request, "_plate_judged.html", **_values(request, store.head(PLATE, name), ""))


def _base(form: FormData) -> int:
    given = str(form.get("base", ""))
    if not (given.isascii() and given.isdigit() and len(given) < 10):
        raise InputError("The edit does not say which version it began from.", "Open the plate again and repeat it.")
    return int(given)


def _text(given: Any, most: int = LONGEST) -> str:
    """One field as the browser sent it: line ends made plain, NUL left out. Raises InputError for one too long."""
    text = given if isinstance(given, str) else ""
    if len(text) > most:
        raise InputError(f"A field holds {len(text)} characters.", f"It may hold {most}.")
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")


def _values(request: Request, version: Version, notice: str, asked: dict[str, Any] | None = None) -> dict[str, Any]:
    """Everything the templates of the page show."""
    store, phase = bench(request).store, phase_of(request)
    try:
        sheet, unreadable = plate_sheet(version.text), ""
    except InputError as error:
        sheet, unreadable = PlateSheet(store.get(PLATE, version.name).title), str(error)
    rows = [row_values(store, row) for row in sheet.rows]
    return {
        "name": version.name,
        "number": version.number,
        "text": version.text,
        "title": sheet.title or version.name,
        "sheet": sheet,
        "unreadable": unreadable,
        "rows": rows,
        "units": UNITS,
        "offered": offered(store),
        "phase": phase,
        "notice": notice,
        "reload": False,
        "oob": is_htmx(request),
        "adding": (asked or {}).get("adding", ""),
        "near": (asked or {}).get("near", []),
        "removed": store.get(PLATE, version.name).removed_at is not None,
        **judged_values(store, version, phase, unreadable, rows),
    }


routes = [
    Route("/plates/new", new),
    Route("/plates/new", make, methods=["POST"]),
    Route("/plates/{name}", show),
    Route("/plates/{name}", write, methods=["POST"]),
    Route("/plates/{name}/loads", judged),
]
