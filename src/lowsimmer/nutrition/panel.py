"""The sum of every nutrient over the foods of a plate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lowsimmer.loads.mix import Part, mean
from lowsimmer.reference.nutrients import NUTRIENTS, NutrientRow, nutrient_rows


@dataclass(frozen=True, slots=True)
class NutrientSum:
    """One nutrient of a serving: the known amount (None when no food has a figure), and the grams without a figure.

    `unweighed` counts the lines whose weight is unknown; they are not in the sum either. `sources` are the keys of the
    tables behind the sum; `stand_in_g` are the grams of it whose figure is that of a near food, form or kind.
    """

    name: str
    words: str
    unit: str
    amount: float | None
    unknown_g: float
    unweighed: int
    sources: tuple[str, ...]
    stand_in_g: float


def panel(parts: Sequence[Part]) -> tuple[NutrientSum, ...]:
    """Every nutrient, in the order of a panel."""
    weighed = [(part, mean(part.grams)) for part in parts if part.grams is not None]
    return tuple(_sum(name, weighed, len(parts) - len(weighed)) for name in NUTRIENTS)


def _sum(name: str, weighed: list[tuple[Part, float]], unweighed: int) -> NutrientSum:
    words, unit = NUTRIENTS[name]
    known = [(grams, row, figure) for part, grams in weighed for row, figure in _figure(part, name)]
    return NutrientSum(
        name,
        words,
        unit,
        amount=sum(grams * figure / 100 for grams, _, figure in known) if known else None,
        unknown_g=sum(grams for part, grams in weighed if not _figure(part, name)),
        unweighed=unweighed,
        sources=tuple(sorted({source for _, row, _ in known for source in row.source.split("|")})),
        stand_in_g=sum(grams for grams, row, _ in known if row.match == "near"),
    )


def _figure(part: Part, name: str) -> list[tuple[NutrientRow, float]]:
    """The row of the table with its figure per 100 g; empty where there is none."""
    row = nutrient_rows().get(part.key) if part.key else None
    figure = row.per_100g[name] if row else None
    return [] if row is None or figure is None else [(row, figure)]
