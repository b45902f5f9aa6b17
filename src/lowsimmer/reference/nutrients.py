"""Nutrients of every food and form, per 100 g, from public-domain tables (nutrients.csv)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lowsimmer.domain.foods import FoodKey
from lowsimmer.reference.table import number, rows

# Column of nutrients.csv -> (words, unit), in the order in which a panel shows them.
NUTRIENTS: dict[str, tuple[str, str]] = {
    "energy_kcal": ("energy", "kcal"),
    "fat_g": ("fat", "g"),
    "saturated_g": ("saturated fat", "g"),
    "carbohydrate_g": ("carbohydrate", "g"),
    "sugars_g": ("sugars", "g"),
    "fibre_g": ("fibre", "g"),
    "protein_g": ("protein", "g"),
    "sodium_mg": ("sodium", "mg"),
    "calcium_mg": ("calcium", "mg"),
    "iron_mg": ("iron", "mg"),
    "magnesium_mg": ("magnesium", "mg"),
    "potassium_mg": ("potassium", "mg"),
    "zinc_mg": ("zinc", "mg"),
    "thiamin_mg": ("thiamin", "mg"),
    "riboflavin_mg": ("riboflavin", "mg"),
    "niacin_mg": ("niacin", "mg"),
    "b6_mg": ("vitamin B6", "mg"),
    "folate_ug": ("folate", "µg"),
    "b12_ug": ("vitamin B12", "µg"),
    "vitamin_a_ug": ("vitamin A", "µg"),
    "vitamin_c_mg": ("vitamin C", "mg"),
    "vitamin_d_ug": ("vitamin D", "µg"),
}


@dataclass(frozen=True, slots=True)
class NutrientRow:
    """One row of the table: what stands for the food, how well, and the figures per 100 g (None: unknown)."""

    key: FoodKey
    source: str
    locator: str
    match: str
    per_100g: dict[str, float | None]
    note: str


@cache
def nutrient_rows() -> dict[FoodKey, NutrientRow]:
    """The table by food and form."""
    return {row.key: row for row in map(_row, rows("nutrients.csv"))}


def _row(row: dict[str, str]) -> NutrientRow:
    figures = {name: number(row[name]) for name in NUTRIENTS}
    key = FoodKey(row["food"], row["form"])
    return NutrientRow(key, row["sources"], row["locator"], row["match"], figures, row["note"])
