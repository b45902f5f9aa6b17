"""The catalogue: a search that answers while a word is typed, and one food with every figure that is known of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.domain.foods import Food, FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.domain.limits import Limit
from lowsimmer.matching.names import UNDECIDED
from lowsimmer.matching.search import MOST, search
from lowsimmer.publishing.foods import package_words
from lowsimmer.reference.catalogue import allergen_lists, cautions, foods, forms, kinds, packages
from lowsimmer.reference.composition import composition
from lowsimmer.reference.evidence import cell
from lowsimmer.reference.limits import profile
from lowsimmer.reference.own import using
from lowsimmer.reference.table import rows
from lowsimmer.store.records import NotKept
from lowsimmer.web.kitchen import kept_figures
from lowsimmer.web.pages.cells import SourceLink, cell_view, source_link
from lowsimmer.web.pages.common import bench, is_htmx, render
from lowsimmer.web.pages.trail import back_of, evidence_word, food_address, here, source_address

LONGEST_WORDS = 80
REGIMES = {"us": "United States", "eu": "European Union", "uk": "United Kingdom", "au-nz": "Australia and New Zealand"}
EVERY_CLASS = "*"


@dataclass(frozen=True, slots=True)
class FoodLine:
    """One food and form of a search: its page, and one word of evidence for each group."""

    label: str
    address: str
    words: tuple[str, ...]


def find(request: Request) -> Response:
    """Foods by words; the results alone when htmx asks while a word is typed."""
    words = request.query_params.get("words", "")[:LONGEST_WORDS].strip()
    with using(kept_figures(bench(request).store)):
        found = search(words) if words else None
        lines = [_line(food) for food in found.foods] if found else []
    return render(
        request,
        "_foods.html" if is_htmx(request) else "foods.html",
        words=words,
        lines=lines,
        near=found.near if found else (),
        groups=[group.label for group in Group],
        most=MOST,
        total=len(forms()),
        total_forms=len(foods()),
    )


def _line(food: Food) -> FoodLine:
    words = tuple(evidence_word(estimate) for estimate in composition(food.key).values())
    return FoodLine(food.label, food_address(food.key), words)


def one(request: Request) -> Response:
    """One food in one form."""
    key = FoodKey(request.path_params["food"], request.path_params["form"])
    if key not in foods():
        sentence = f"The catalogue has no food '{key.food[:60]}' in the form '{key.form[:60]}'."
        raise NotKept(sentence, "Search the foods by words.")
    back = here(request)
    with using(kept_figures(bench(request).store)):
        cells = [cell_view(cell(key, group), group.value, f"{back}#{group.value}") for group in Group]
    return render(request, "food.html", cells=cells, back=back_of(request), **_facts(foods()[key], back))


def _facts(food: Food, back: str) -> dict[str, Any]:
    """What is known of a food beside its composition."""
    names = _names(food.key)
    return {
        "food": food,
        "shelf": kinds()[food.kind]["words"],
        "others": [_other(food.key.food, form) for form in forms()[food.key.food] if form != food.key.form],
        "names": names[0],
        "open_names": names[1],
        "allergens": _allergens(food),
        "regimes": REGIMES,
        "sold": [package_words(row) for row in packages().get(food.key, ())],
        "limits": [(each, source_link(each.pedigree, back)) for each in _limits(food)],
        "cautions": _cautions(food, back),
    }


def _other(food: str, form: str) -> tuple[str, str]:
    key = FoodKey(food, form)
    return foods()[key].label, food_address(key)


def _names(key: FoodKey) -> tuple[list[str], list[str]]:
    """Names that mean this form, and names of the food that leave the form open; misspelt ones are left out."""
    mine = [row for row in rows("names") if row["food"] == key.food and row["note"] != "misspelling"]
    clear = [_name(row) for row in mine if row["form"] == key.form]
    unclear = [_name(row) for row in mine if row["form"] == UNDECIDED]
    return sorted(dict.fromkeys(clear)), sorted(dict.fromkeys(unclear))


def _name(row: dict[str, str]) -> str:
    """A name with the measure and the region for which it holds."""
    only = [f"by {row['measure']}"] if row["measure"] else []
    only += [f"in {row['region'].upper()}"] if row["region"] else []
    return f"{row['name']} ({', '.join(only)})" if only else row["name"]


def _allergens(food: Food) -> list[tuple[str, list[str]]]:
    """Each allergen with the word of every law's list, or that it is not on it."""
    return [
        (key, [allergen_lists()[regime].get(key, "not on the list") for regime in REGIMES])
        for key in sorted(food.allergens)
    ]


def _limits(food: Food) -> list[Limit]:
    """The cut-offs of the restriction phase that this food is judged by when it stands alone."""
    return [each for each in profile("restriction").foods if each.food_class in {food.limit_class, EVERY_CLASS}]


def _cautions(food: Food, back: str) -> list[tuple[dict[str, str], SourceLink]]:
    key = food.key
    places = (f"food:{key.food}", f"food:{key.food}/{key.form}", f"kind:{food.kind}")
    told = [row for place in places for row in cautions().get(place, ())]
    return [(row, SourceLink(row["source"], source_address(row["source"], back), "", "", "")) for row in told]


routes = [Route("/foods", find), Route("/foods/{food}/{form}", one)]
