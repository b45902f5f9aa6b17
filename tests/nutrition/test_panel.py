"""Nutrients: the table checked by the arithmetic of energy, the sums by their laws."""

from __future__ import annotations

import pytest

from lowsimmer.loads.assess import assess_dish
from lowsimmer.nutrition.panel import NutrientSum, panel
from lowsimmer.reading.dish import read_dish
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.nutrients import NUTRIENTS, NutrientRow, nutrient_rows
from lowsimmer.reference.table import sources

HEAD = "---\ntitle: Trial\nserves: {serves}\nregion: us\n---\n## Ingredients\n"


def sums(lines: str, serves: int = 1) -> dict[str, NutrientSum]:
    result = assess_dish(read_dish(HEAD.format(serves=serves) + lines, "trial"))
    return {each.name: each for each in panel(result.parts)}


def known(row: NutrientRow, name: str) -> float:
    return row.per_100g[name] or 0.0


def test_four_foods_in_five_have_figures() -> None:
    held = [key for key in foods() if key in nutrient_rows() and nutrient_rows()[key].match != "none"]
    assert len(held) / len(foods()) >= 0.8


def test_no_row_is_for_a_food_that_is_not_in_the_catalogue() -> None:
    assert nutrient_rows().keys() <= foods().keys()


def test_every_row_with_figures_says_where_they_come_from() -> None:
    held = [row for row in nutrient_rows().values() if row.match != "none"]
    assert not [row.key for row in held if not (row.source and row.locator)]
    assert {key for row in held for key in row.source.split("|")} <= sources().keys()


def test_figures_are_sane() -> None:
    for row in nutrient_rows().values():
        assert all(value is None or value >= 0 for value in row.per_100g.values()), row.key
        assert known(row, "saturated_g") <= known(row, "fat_g") + 0.05 or row.per_100g["fat_g"] is None, row.key
        solids = sum(known(row, name) for name in ("protein_g", "fat_g", "carbohydrate_g"))
        assert solids <= 105, row.key


def test_energy_follows_from_the_macronutrients() -> None:
    """General Atwater factors 4, 9, 4, fibre at 2 kcal/g (21 CFR 101.9(c)(1)); alcohol, acids and polyols left out."""
    apart = []
    rows = [row for row in nutrient_rows().values() if None not in (row.per_100g["energy_kcal"], row.per_100g["fat_g"])]
    plain = [
        row for row in rows if foods()[row.key].kind not in {"alcohol", "sweetener", "condiment", "added-fibre", "gum"}
    ]
    for row in plain:
        fibre = known(row, "fibre_g")
        carbohydrate = known(row, "carbohydrate_g") - fibre
        computed = 4 * known(row, "protein_g") + 9 * known(row, "fat_g") + 4 * carbohydrate + 2 * fibre
        if abs(computed - known(row, "energy_kcal")) > max(15, 0.2 * computed):
            apart.append(row.key)
    assert len(apart) / len(plain) < 0.06, apart


@pytest.mark.parametrize(
    ("line", "name", "published"),
    [  # USDA National Nutrient Database for Standard Reference 28, per 100 g
        ("100 g whole milk", "calcium_mg", 113),  # NDB 01077
        ("100 g rolled oats", "protein_g", 13.15),  # NDB 08120
        ("100 g carrots", "vitamin_a_ug", 835),  # NDB 11124
        ("100 g raw almonds", "fibre_g", 12.5),  # NDB 12061
        ("100 g olive oil", "energy_kcal", 884),  # NDB 04053
    ],
)
def test_a_figure_is_that_of_the_table(line: str, name: str, published: float) -> None:
    amount = sums(f"- {line}\n")[name].amount
    assert amount == pytest.approx(published, rel=0.06), "USDA SR28"


def test_scaling_dish_and_servings_changes_nothing() -> None:
    one = sums("- 100 g oats\n- 200 ml whole milk\n", 2)
    two = sums("- 200 g oats\n- 400 ml whole milk\n", 4)
    assert all(one[name].amount == pytest.approx(two[name].amount) for name in NUTRIENTS)


def test_an_unknown_food_is_not_zero() -> None:
    found = sums("- 100 g moonfruit\n")["calcium_mg"]
    assert found.amount is None
    assert found.unknown_g == 100


def test_a_sum_names_its_tables_and_the_grams_that_a_near_food_stands_in_for() -> None:
    found = sums("100 g whole milk\n10 g dijon mustard\n")["sodium_mg"]
    assert found.sources == ("usda-sr28",)
    assert found.stand_in_g == pytest.approx(10)  # the figures are those of yellow mustard


def test_a_sum_without_figures_names_no_table() -> None:
    found = sums("100 g moonfruit jelly\n")["sodium_mg"]
    assert (found.amount, found.sources, found.stand_in_g) == (None, (), 0)
