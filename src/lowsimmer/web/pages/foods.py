"""The catalogue: a search, and one food with every figure that is known of it."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.domain.foods import Estimate, Food, FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.matching.names import index
from lowsimmer.matching.search import search
from lowsimmer.publishing.foods import content_words, package_words
from lowsimmer.publishing.forest import drawable, forest_picture
from lowsimmer.publishing.inline import inline
from lowsimmer.reference.catalogue import cautions, foods, forms, packages
from lowsimmer.reference.composition import composition
from lowsimmer.reference.evidence import cell
from lowsimmer.reference.own import using
from lowsimmer.reference.table import sources
from lowsimmer.store.records import NotKept
from lowsimmer.web.kitchen import kept_figures
from lowsimmer.web.pages.common import bench, is_htmx, render

LONGEST = 80
GRADES = {
    "seen": "read",
    "rule": "by rule",
    "derived": "worked out",
    "memory": "recalled",
    "common practice": "practice",
    "own": "own",
}


def find(request: Request) -> Response:
    """Foods by words; each group with the grade of its evidence."""
    words = request.query_params.get("words", "")[:LONGEST].strip()
    with using(kept_figures(bench(request).store)):
        found = search(words) if words else None
        listed = [(food, _grades(food)) for food in found.foods] if found else []
        near = found.near if found else ()
        template = "_foods.html" if is_htmx(request) else "foods.html"
        groups = [group.label for group in Group]
        return render(request, template, words=words, listed=listed, near=near, groups=groups, total=len(foods()))


def _grades(food: Food) -> list[str]:
    return [_grade(estimate) for estimate in composition(food.key).values()]


def _grade(estimate: Estimate | None) -> str:
    if estimate is None:
        return "no figure"
    return "none in it" if estimate.known_zero else GRADES[estimate.grade.value]


def one(request: Request) -> Response:
    """One food in one form."""
    key = FoodKey(request.path_params["food"], request.path_params["form"])
    if key not in foods():
        raise NotKept(f"The catalogue has no '{key.food[:40]}' in the form '{key.form[:40]}'.", "Search for it.")
    with using(kept_figures(bench(request).store)):
        return render(request, "food.html", **_food(key))


def _food(key: FoodKey) -> dict[str, Any]:
    food = foods()[key]
    cells = {group: cell(key, group) for group in Group}
    places = (f"food:{key.food}", f"food:{key.food}/{key.form}", f"kind:{food.kind}")
    return {
        "food": food,
        "cells": cells,
        "words": {group: content_words(each.estimate) for group, each in cells.items()},
        "pictures": [(each, inline(forest_picture(each), f"cell{n}")) for n, each in enumerate(drawable(food))],
        "sold": [package_words(row) for row in packages().get(key, ())],
        "names": sorted({known for known, rows in index().items() for row in rows if row.food == key.food}),
        "others": [foods()[FoodKey(key.food, form)] for form in forms()[key.food] if form != key.form],
        "cautions": [row for place in places for row in cautions().get(place, ())],
        "sources": sources(),
    }


routes = [Route("/foods", find), Route("/foods/{food}/{form}", one)]
