"""What became of a dish or a plate: its steps with what changed in each, undo, redo, and going back to any of them."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.groups import SUMS, Group
from lowsimmer.loads.assess import Assessment
from lowsimmer.publishing.text import range_words
from lowsimmer.store.differ import Difference, differences
from lowsimmer.store.records import DocumentKind, Edit, Step
from lowsimmer.store.store import Store
from lowsimmer.web.kitchen import assessed, read_kept
from lowsimmer.web.pages.common import bench, phase_of, render, see_other, writer

ROOMS = {"dishes": DocumentKind.DISH, "plates": DocumentKind.PLATE}
MOST_STEPS = 60
COMPONENTS = (*(group.value for group in Group), *SUMS)


def _kind(request: Request) -> tuple[str, DocumentKind]:
    room = request.path_params["room"]
    if room not in ROOMS:
        raise InputError(f"'{room[:40]}' has no versions.", "Versions are kept of dishes and of plates.")
    return room, ROOMS[room]


def history(request: Request) -> Response:
    """The steps of one document, the newest first, with what changed in each."""
    room, kind = _kind(request)
    name, store = request.path_params["name"], bench(request).store
    steps = [(each, _changes(store, each)) for each in store.steps(kind, name)[:MOST_STEPS]]
    document = store.get(kind, name)
    return render(request, "history.html", room=room, document=document, steps=steps, most=MOST_STEPS)


def _changes(store: Store, step: Step) -> list[Difference]:
    """What changed from the version before the step to its last; nothing for the first."""
    first, last = step.first, step.last
    if first.base == 0:
        return []
    return differences(store.version(first.kind, first.name, first.base).text, last.text)


def compare(request: Request) -> Response:
    """Two versions side by side: what changed in the text, and in the loads."""
    room, kind = _kind(request)
    name, store = request.path_params["name"], bench(request).store
    older, newer = (store.version(kind, name, request.path_params[each]) for each in ("older", "newer"))
    phase = phase_of(request)
    return render(
        request,
        "compare.html",
        room=room,
        document=store.get(kind, name),
        older=older,
        newer=newer,
        changes=differences(older.text, newer.text),
        loads=_loads(store, kind, (older.text, newer.text), phase),
        phase=phase,
    )


def _loads(store: Store, kind: DocumentKind, texts: tuple[str, str], phase: str) -> list[dict[str, Any]]:
    """Each component before and after; a text that cannot be judged yet says so in words."""
    before, after = (_result(store, kind, text, phase) for text in texts)
    return [{"component": key, "before": _words(before, key), "after": _words(after, key)} for key in COMPONENTS]


def _result(store: Store, kind: DocumentKind, text: str, phase: str) -> Assessment | None:
    try:
        return assessed(store, read_kept(store, kind, text), phase).result
    except InputError:
        return None


def _words(result: Assessment | None, component: str) -> str:
    if result is None:
        return "not judged"
    load = result.loads[component]
    return f"{'unknown' if load.nothing_known else range_words(load.range) + ' g'}, {load.verdict.value}"


def undo(request: Request) -> Response:
    """One step back."""
    room, kind = _kind(request)
    bench(request).store.undo(kind, request.path_params["name"], writer(request))
    return see_other(f"/{room}/{request.path_params['name']}")


def redo(request: Request) -> Response:
    """One step forward again."""
    room, kind = _kind(request)
    bench(request).store.redo(kind, request.path_params["name"], writer(request))
    return see_other(f"/{room}/{request.path_params['name']}")


def bring_back(request: Request) -> Response:
    """An older version becomes the newest; what came after it stays in the history."""
    room, kind = _kind(request)
    name, store = request.path_params["name"], bench(request).store
    old = store.version(kind, name, request.path_params["number"])
    head = store.get(kind, name).head
    store.edit(Edit(kind, name, head, old.text, writer(request), "restored"))
    return see_other(f"/{room}/{name}")


def remove(request: Request) -> Response:
    """Taken off the bench; it can be put back under Keeping."""
    _, kind = _kind(request)
    bench(request).store.remove(kind, request.path_params["name"], writer(request))
    return see_other("/")


routes = [
    Route("/{room:str}/{name}/history", history),
    Route("/{room:str}/{name}/history/{older:int}/{newer:int}", compare),
    Route("/{room:str}/{name}/history/{number:int}/bring-back", bring_back, methods=["POST"]),
    Route("/{room:str}/{name}/undo", undo, methods=["POST"]),
    Route("/{room:str}/{name}/redo", redo, methods=["POST"]),
    Route("/{room:str}/{name}/remove", remove, methods=["POST"]),
]
