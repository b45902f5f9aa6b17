"""From a figure of a dish or plate down to the published cells, and back."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.loads.why import Origin, explain
from lowsimmer.publishing.forest import forest_picture
from lowsimmer.publishing.inline import inline
from lowsimmer.reference.own import using
from lowsimmer.reference.table import sources
from lowsimmer.store.records import DocumentKind
from lowsimmer.web.kitchen import assessed, kept_figures, read_kept
from lowsimmer.web.pages.common import bench, phase_of, render


def _why(request: Request, room: str, kind: DocumentKind) -> Response:
    name, store, phase = request.path_params["name"], bench(request).store, phase_of(request)
    kept = read_kept(store, kind, store.head(kind, name).text)
    with using(kept_figures(store)):
        explained = explain(assessed(store, kept, phase).result, request.path_params["group"])
        origins = [(each, _picture(each, f"figure{place}")) for place, each in enumerate(explained.origins)]
        return render(
            request,
            "why.html",
            room=room,
            name=name,
            phase=phase,
            explained=explained,
            load=explained.load,
            origins=origins,
            sources=sources(),
        )


def _picture(origin: Origin, prefix: str) -> str:
    drawn = origin.cell is not None and any(origin.cell.figures)
    return inline(forest_picture(origin.cell), prefix) if drawn and origin.cell else ""


def dish(request: Request) -> Response:
    """One group of a dish."""
    return _why(request, "dishes", DocumentKind.DISH)


def plate(request: Request) -> Response:
    """One group of a plate."""
    return _why(request, "plates", DocumentKind.PLATE)


routes = [Route("/dishes/{name}/why/{group}", dish), Route("/plates/{name}/why/{group}", plate)]
