"""The catalogue of foods in their forms."""

from __future__ import annotations

from functools import cache

from lowsimmer.domain.foods import Food, FoodKey
from lowsimmer.reference.table import rows


@cache
def kinds() -> dict[str, dict[str, str]]:
    """The shelves: kind -> its row of kinds.csv."""
    return {row["kind"]: row for row in rows("kinds.csv")}


@cache
def foods() -> dict[FoodKey, Food]:
    """Every food and form of the catalogue by its key."""
    return {food.key: food for food in map(_food, rows("foods"))}


def _food(row: dict[str, str]) -> Food:
    return Food(
        key=FoodKey(row["food"], row["form"]),
        label=row["label"],
        kind=row["kind"],
        limit_class=kinds()[row["kind"]]["limit_class"],
        family=row["family"],
        allergens=frozenset(filter(None, row["allergens"].split("|"))),
        check_label=row["check_label"],
    )


@cache
def allergen_lists() -> dict[str, dict[str, str]]:
    """Regime (us, eu, uk, au-nz) -> allergen key -> the word of that law; a key that is missing is not on that list."""
    found: dict[str, dict[str, str]] = {}
    for row in rows("allergen_lists.csv"):
        found.setdefault(row["regime"], {})[row["key"]] = row["listed_as"]
    return found


@cache
def cautions() -> dict[str, tuple[dict[str, str], ...]]:
    """What a caution applies to (food:KEY, food:KEY/FORM, kind:KIND) -> its rows of cautions.csv."""
    found: dict[str, list[dict[str, str]]] = {}
    for row in rows("cautions.csv"):
        found.setdefault(row["applies_to"], []).append(row)
    return {place: tuple(each) for place, each in found.items()}


@cache
def packages() -> dict[FoodKey, tuple[dict[str, str], ...]]:
    """Food and form -> its rows of packages.csv, the ordinary retail packages; see the head of that file."""
    found: dict[FoodKey, list[dict[str, str]]] = {}
    for row in rows("packages.csv"):
        found.setdefault(FoodKey(row["food"], row["form"]), []).append(row)
    return {key: tuple(each) for key, each in found.items()}


@cache
def forms() -> dict[str, tuple[str, ...]]:
    """Food -> the forms it has in the catalogue."""
    found: dict[str, list[str]] = {}
    for key in foods():
        found.setdefault(key.food, []).append(key.form)
    return {food: tuple(each) for food, each in found.items()}
