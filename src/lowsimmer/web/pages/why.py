"""One group of a dish or a plate taken apart: from its figure down to the published ones, and back by links."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import quote, urlencode

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.domain.groups import SUMS, Group
from lowsimmer.loads.why import Origin, explain
from lowsimmer.publishing.text import grams, range_words
from lowsimmer.reference.own import using
from lowsimmer.store.records import DocumentKind
from lowsimmer.web.kitchen import assessed, kept_figures, read_kept
from lowsimmer.web.pages.cells import CellView, FactorRow, cell_view, factor_rows, source_link
from lowsimmer.web.pages.common import bench, phase_of, render
from lowsimmer.web.pages.trail import food_address, here

MOST_SERVINGS = 20.0


@dataclass(frozen=True, slots=True)
class OriginView:
    """One line's part in a load, ready for the page. `place` is the anchor of its section."""

    place: str
    origin: Origin
    food: str
    factors: list[FactorRow]
    eaten: str
    cell: CellView | None
    load: str
    sum: str


def dish(request: Request) -> Response:
    """One group of a dish."""
    return _why(request, "dishes", DocumentKind.DISH, _servings(request))


def plate(request: Request) -> Response:
    """One group of a plate."""
    return _why(request, "plates", DocumentKind.PLATE, 1.0)


def _servings(request: Request) -> float:
    """How many servings the figure that was asked about is for; 1 when nothing usable is said."""
    try:
        given = float(request.query_params.get("servings", "1"))
    except ValueError:
        return 1.0
    return given if 0 < given <= MOST_SERVINGS else 1.0


def _why(request: Request, room: str, kind: DocumentKind, servings: float) -> Response:
    name, store, phase = request.path_params["name"], bench(request).store, phase_of(request)
    given = read_kept(store, kind, store.head(kind, name).text)
    explained = explain(assessed(store, given, phase, servings).result, request.path_params["group"])
    back = here(request)
    with using(kept_figures(store)):
        origins = [_view(number, each, back) for number, each in enumerate(explained.origins, 1)]
    return render(
        request,
        "why.html",
        explained=explained,
        load=explained.load,
        limit_from=source_link(explained.load.limit.pedigree, back),
        origins=origins,
        components=[*(group.value for group in Group), *SUMS],
        **_address_values(room, name, phase, servings),
    )


def _address_values(room: str, name: str, phase: str, servings: float) -> dict[str, Any]:
    """Where the page stands, and the addresses beside it."""
    base = f"/{room}/{quote(name, safe='')}"
    amount = {} if servings == 1 else {"servings": f"{servings:g}"}

    def why(group: str, other: str = phase) -> str:
        return f"{base}/why/{group}?{urlencode({'phase': other, **amount})}"

    whole = f"{base}?{urlencode({'phase': phase, **amount})}"
    of = "on the plate" if room == "plates" else "in one serving" if servings == 1 else f"in {servings:g} servings"
    return {"why": why, "whole": whole, "phase": phase, "of": of, "plate": room == "plates"}


def _view(number: int, origin: Origin, back: str) -> OriginView:
    place = f"line-{number}"
    way = f"{back}#{place}" if back else ""
    return OriginView(
        place=place,
        origin=origin,
        food=food_address(origin.cell.key, way, origin.group.value) if origin.cell else "",
        factors=factor_rows(origin.grams, way) if origin.grams else [],
        eaten=_eaten(origin.share_eaten),
        cell=cell_view(origin.cell, place, way) if origin.cell else None,
        load=f"{range_words(origin.load)} g" if origin.load else "unknown",
        sum=_sum(origin),
    )


def _eaten(share: float) -> str:
    """The share of the dish that is eaten, in words."""
    if share == 1:
        return "all of it is eaten"
    parts = 1 / share
    whole = abs(parts - round(parts)) < 1e-6 and parts > 1
    return f"1 part in {round(parts)} is eaten" if whole else f"{share:.3g} of it is eaten"


def _sum(origin: Origin) -> str:
    """The last step as a sum of the middle figures; '' where a piece of it is unknown."""
    content = origin.estimate
    if origin.weight is None or content is None or origin.load is None:
        return ""
    counted = grams(max(0.0, content.value))
    return f"{grams(origin.weight.value)} g of food with {counted} g in 100 g come to {grams(origin.load.value)} g"


routes = [Route("/dishes/{name}/why/{group}", dish), Route("/plates/{name}/why/{group}", plate)]
