"""Measures, piece weights, densities and edible parts, ready for look-up."""

from __future__ import annotations

import re
import statistics
from collections import defaultdict
from dataclasses import dataclass
from functools import cache

from lowsimmer.domain.foods import FoodKey
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.domain.ranges import Range
from lowsimmer.reference.table import rows


@dataclass(frozen=True, slots=True)
class Figure:
    """A range with its pedigree; `quantity` says ml or g where that is open."""

    range: Range
    pedigree: Pedigree
    quantity: str = "g"


# A spoon or cup of a whole dish, cooked and mixed, weighs about what water does.
MIXED_DENSITY = Figure(Range(1.0, 0.9, 1.1), Pedigree("practice", Evidence.PRACTICE, "", "a mixed dish, g/ml"))


def _figure(row: dict[str, str], column: str, quantity: str = "g") -> Figure:
    bounds = Range(float(row[column]), float(row["low"]), float(row["high"]))
    evidence = Evidence.PRACTICE if row["source"] == "practice" else Evidence(row["evidence"])
    return Figure(bounds, Pedigree(row["source"], evidence, "", row["note"]), quantity)


@cache
def measures() -> dict[tuple[str, str], Figure]:
    """(unit, region) -> ml or g; region '' for a dish that states none."""
    return {(row["unit"], row["region"]): _figure(row, "value", row["quantity"]) for row in rows("measures.csv")}


@cache
def pieces() -> dict[tuple[FoodKey, str, str], Figure]:
    """(food and form, piece, size) -> edible grams of one."""
    return {
        (FoodKey(row["food"], row["form"]), row["piece"], row["size"]): _figure(row, "grams") for row in rows("pieces")
    }


@cache
def edible_fractions() -> dict[FoodKey, float]:
    """Food and form -> edible part of the weight as bought, the middle one of those stated."""
    found: dict[FoodKey, list[float]] = defaultdict(list)
    for row in rows("pieces"):
        if row["edible_fraction"]:
            found[FoodKey(row["food"], row["form"])].append(float(row["edible_fraction"]))
    return {key: statistics.median_low(fractions) for key, fractions in found.items()}


@cache
def densities() -> dict[tuple[FoodKey, str], Figure]:
    """(food and form, state) -> grams per ml; state '' is the default."""
    return {(FoodKey(row["food"], row["form"]), row["state"]): _figure(row, "g_per_ml") for row in rows("densities")}


@cache
def any_density() -> dict[FoodKey, Figure]:
    """Food and form -> the first density there is, for foods without one for the unstated state."""
    found: dict[FoodKey, Figure] = {}
    for (key, _), figure in densities().items():
        found.setdefault(key, figure)
    return found


@cache
def drained() -> dict[str, Figure]:
    """Food key or 'kind:KIND' -> drained share of the printed weight."""
    return {row["applies_to"]: _figure(row, "fraction") for row in rows("drained.csv")}


@cache
def piece_words() -> dict[str, tuple[tuple[str, float], ...]]:
    """Piece -> the pieces that may stand for it, with how many of them."""
    found: dict[str, list[tuple[str, float]]] = defaultdict(list)
    for row in rows("piece_words.csv"):
        found[row["piece"]].append((row["stands_for"], float(row["times"])))
    return {piece: tuple(each) for piece, each in found.items()}


@cache
def uses() -> dict[str, frozenset[str]]:
    """Use ("to taste") -> the kinds of food for which it stands for a small amount."""
    return {row["unit"]: frozenset(row["kinds"].split("|")) for row in rows("uses.csv")}


@cache
def amountless() -> dict[str, str]:
    """Kind -> the use that a line of that kind without any amount is read with."""
    table = (row for row in rows("uses.csv") if row["amountless"])
    return {kind: row["unit"] for row in table for kind in row["kinds"].split("|")}


@cache
def states() -> dict[str, str]:
    """Preparation word -> density state."""
    return {row["word"]: row["state"] for row in rows("states.csv")}


@cache
def edible_words() -> re.Pattern[str]:
    """A pattern for the words that say a weight was taken before trimming."""
    words = sorted((row["word"] for row in rows("edible_words.csv")), key=len, reverse=True)
    return re.compile(r"\b(?:" + "|".join(map(re.escape, words)) + r")\b")
