"""The dish page: a dish written as in a notebook, answered while it is written, every change kept.

The page's own script posts the form a moment after each keystroke; without script the same form has a button. Both
come here. What is posted names the version that it began from, so two windows on one dish lose nothing.
"""

from __future__ import annotations

import math
from dataclasses import asdict, replace
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Severity
from lowsimmer.domain.groups import SUMS, Group, component_label
from lowsimmer.domain.limits import Load, Verdict
from lowsimmer.nutrition.panel import panel
from lowsimmer.publishing.bars import column_bars
from lowsimmer.publishing.text import SHOWN, grams
from lowsimmer.reading.dish import REGIONS
from lowsimmer.reading.pasted import pasted
from lowsimmer.reading.sheet import Sheet, dish_text, sheet_of
from lowsimmer.reference.catalogue import allergen_lists
from lowsimmer.store.records import DocumentKind, Edit, Saved, Version
from lowsimmer.web.answers import Judged, judged
from lowsimmer.web.pages.common import bench, fill, is_htmx, phase_of, render, see_other, writer

DISH = DocumentKind.DISH
TYPED = ("title", "serves", "region", "makes", "serve_by", "notes", "ingredients", "method", "rest")
LONGEST = 60_000  # characters of one field
MOST_SERVINGS = 4.0
LEAST_SERVINGS = 0.1
UNTITLED = "Untitled dish"


def new(request: Request) -> Response:
    """An empty page to paste or type on."""
    return render(request, "dish_new.html", text="", trouble="")


async def make(request: Request) -> Response:
    """A new dish from what was pasted; whatever it is, it is kept."""
    form = await request.form()
    text = _field(form, "text") if form.get("text") else ""
    version = await run_in_threadpool(_made, request, text)
    return see_other(f"/dishes/{version.name}")


def _made(request: Request, text: str) -> Version:
    sheet = pasted(text) if text.strip() else Sheet(title=UNTITLED, serves="4")
    sheet = sheet if sheet.title else replace(sheet, title=UNTITLED)
    return bench(request).store.create(DISH, sheet.title, dish_text(sheet), writer(request), "pasted")


def show(request: Request) -> Response:
    """The page of one dish."""
    name = request.path_params["name"]
    version = bench(request).store.head(DISH, name)
    return render(request, "dish.html", **_values(request, version, sheet_of(version.text)))


def loads(request: Request) -> Response:
    """The judged part alone: for another phase, or another size of serving."""
    name = request.path_params["name"]
    version = bench(request).store.head(DISH, name)
    if not is_htmx(request):
        return see_other(f"/dishes/{name}?{request.url.query}")
    return render(request, "_judged.html", **_values(request, version, sheet_of(version.text)))


async def write(request: Request) -> Response:
    """An edit: kept first, answered then."""
    form = await request.form()
    return await run_in_threadpool(_write, request, form)


def _write(request: Request, form: FormData) -> Response:
    name, store = request.path_params["name"], bench(request).store
    base = store.version(DISH, name, _base(form))
    typed = _typed(form, sheet_of(base.text))
    sheet = _answered(typed, _field(form, "answer"))
    saved = store.edit(Edit(DISH, name, base.number, dish_text(sheet), writer(request)))
    if request.headers.get("Accept") != "application/json":
        return see_other(f"/dishes/{name}")
    kept = sheet_of(saved.version.text)
    return JSONResponse(_reply(request, saved, kept, fields=kept != sheet_of(dish_text(typed))))


def _reply(request: Request, saved: Saved, kept: Sheet, fields: bool) -> dict[str, Any]:
    """What the script of the page puts in place: number of the version, answers, and the fields where they changed."""
    values = _values(request, saved.version, kept)
    return {
        "number": saved.version.number,
        "mine": saved.mine,
        "rail": fill(request, "_rail.html", **values),
        "asked": fill(request, "_asked.html", **values),
        "judged": fill(request, "_judged.html", **values),
        "fields": {key: value for key, value in asdict(kept).items() if key in TYPED} if fields else None,
        "merged": saved.merged,
        "doubled": list(saved.doubled),
    }


def _base(form: FormData) -> int:
    given = str(form.get("base", ""))
    if not (given.isascii() and given.isdigit() and len(given) < 10):
        raise InputError("The edit does not say which version it began from.", "Open the dish again and repeat it.")
    return int(given)


def _field(form: FormData, key: str) -> str:
    """One field as the browser sent it: line ends made plain, characters that no file should hold left out."""
    given = form.get(key, "")
    text = given if isinstance(given, str) else ""
    if len(text) > LONGEST:
        raise InputError(f"The field '{key}' holds {len(text)} characters.", f"A field has at most {LONGEST}.")
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")


def _typed(form: FormData, old: Sheet) -> Sheet:
    """The sheet as typed; what the form does not show stays as it was."""
    typed: dict[str, Any] = {key: _field(form, key) for key in TYPED if key in form}
    return replace(old, **typed)


def _answered(sheet: Sheet, answer: str) -> Sheet:
    """The sheet with a chosen answer ('place|line') in the place of its row."""
    place, _, line = answer.partition("|")
    if not (line and place.isascii() and place.isdigit()):
        return sheet
    rows = sheet.ingredients.split("\n")
    if int(place) < len(rows):
        mark = "- " if rows[int(place)].lstrip().startswith("- ") else ""
        rows[int(place)] = mark + line
    return replace(sheet, ingredients="\n".join(rows))


def _servings(request: Request) -> float:
    """How many servings the judged part is for: 1 unless the slider says otherwise."""
    try:
        given = float(request.query_params.get("servings", "1"))
    except ValueError:
        return 1.0
    return min(max(given, LEAST_SERVINGS), MOST_SERVINGS) if math.isfinite(given) else 1.0


def _values(request: Request, version: Version, sheet: Sheet) -> dict[str, Any]:
    """Everything the templates of the page show."""
    name, phase, servings = version.name, phase_of(request), _servings(request)
    found = judged(bench(request).store, sheet, phase, servings)
    return {
        "name": name,
        "number": version.number,
        "sheet": sheet,
        "regions": REGIONS,
        "found": found,
        "rows": found.rows,
        "asking": [each for each in found.rows if each.asks],
        "phase": phase,
        "servings": servings,
        "least": LEAST_SERVINGS,
        "most": MOST_SERVINGS,
        **(_result_values(name, phase, servings, found) if found.report else {"result": None}),
    }


def _result_values(name: str, phase: str, servings: float, found: Judged) -> dict[str, Any]:
    assert found.report is not None
    result = found.report.result
    eaten = "" if servings == 1 else f"&servings={servings:g}"
    link = {each: f"/dishes/{name}/why/{each}?phase={phase}{eaten}" for each in (*(g.value for g in Group), *SUMS)}
    order = {severity: [each for each in result.findings if each.severity is severity] for severity in Severity}
    words = allergen_lists()["eu"]
    sums = [each for each in panel(result.parts) if each.name in SHOWN]
    return {
        "result": result,
        "by_phase": found.report.phases,
        "bars": column_bars(result, "loads"),
        "link": link,
        "groups": [group.value for group in Group],
        "close": [each for each in result.foods if each.verdict in {Verdict.OVER, Verdict.TOO_CLOSE}],
        "driven": [load for load in (result.loads[g.value] for g in Group) if load.share >= 0.1 and load.drivers],
        "unknown": _unknown([result.loads[group.value] for group in Group]),
        "cautions": order[Severity.CAUTION],
        "notes": order[Severity.NOTE],
        "allergens": list(dict.fromkeys(words[key] for key in result.allergens)),
        "nutrients": sums,
        "tables": sorted({source for each in sums for source in each.sources}),
    }


def _unknown(loads: list[Load]) -> dict[str, list[str]]:
    """What is not known, in words, with the groups of which the same is not known."""
    found: dict[str, list[str]] = {}
    for load in loads:
        parts = [f"{grams(load.unknown_g)} g ({', '.join(load.unknown_foods)})"] if load.unknown_g > 0 else []
        count = len(load.unknown_lines)
        parts += [f"{count} line{'s' if count > 1 else ''} without weight"] if count else []
        if parts:
            words = (
                "unknown in " + " and in ".join(parts) + (", too little to change the verdict" if load.bounded else "")
            )
            found.setdefault(words, []).append(component_label(load.component))
    return found


routes = [
    Route("/dishes/new", new),
    Route("/dishes/new", make, methods=["POST"]),
    Route("/dishes/{name}", show),
    Route("/dishes/{name}", write, methods=["POST"]),
    Route("/dishes/{name}/loads", loads),
]
