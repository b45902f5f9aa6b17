"""The sum of every nutrient over the foods of a plate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lowsimmer.loads.mix import Part, mean
from lowsimmer.reference.nutrients import NUTRIENTS, nutrient_rows


@dataclass(frozen=True, slots=True)
class NutrientSum:
    """One nutrient of a serving: the known amount (None when no food has a figure), and the grams without a figure.

    `unweighed` counts the lines whose weight is unknown; they are not in the sum either.
    """

    name: str
    words: str
    unit: str
    amount: float | None
    unknown_g: float
    unweighed: int


def panel(parts: Sequence[Part]) -> tuple[NutrientSum, ...]:
    """Every nutrient, in the order of a panel."""
    weighed = [(part, mean(part.grams)) for part in parts if part.grams is not None]
    return tuple(_sum(name, weighed, len(parts) - len(weighed)) for name in NUTRIENTS)


def _sum(name: str, weighed: list[tuple[Part, float]], unweighed: int) -> NutrientSum:
    words, unit = NUTRIENTS[name]
    known = [(grams, figure) for part, grams in weighed if (figure := _figure(part, name)) is not None]
    missing = sum(grams for part, grams in weighed if _figure(part, name) is None)
    amount = sum(grams * figure / 100 for grams, figure in known) if known else None
    return NutrientSum(name, words, unit, amount, missing, unweighed)


def _figure(part: Part, name: str) -> float | None:
    row = nutrient_rows().get(part.key) if part.key else None
    return row.per_100g[name] if row else None
