"""The index of names: phrase, measure and region -> food and form.

A phrase is compared in lower case, without accents, with hyphens as spaces, its last noun singular. Rows of
names.csv may hold only for one kind of measure ("oregano" by the spoon is dried) or one region ("coriander" is the
seed in the United States); the most particular row wins, and rows that still disagree leave the name undecided.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

from lowsimmer.domain.lines import Amount
from lowsimmer.reference.phrases import normal, singulars
from lowsimmer.reference.table import rows
from lowsimmer.reference.words import vocabulary

UNDECIDED = "?"
_SPOONS = {
    "teaspoon",
    "tablespoon",
    "dessertspoon",
    "pinch",
    "generous pinch",
    "dash",
    "smidgen",
    "grind",
    "drop",
}
_SPOON_GRAMS = 5.0  # a weight that cooks measure by the spoon: "2 g pepper" is the spice (common practice, no source)
_LEAFY = {"bunch", "sprig", "handful", "leaf", "stalk", "head", "root"}


@dataclass(frozen=True, slots=True)
class Name:
    """One row of names.csv: under this measure and region the phrase means this food in this form ('?' = unclear)."""

    food: str
    form: str
    measure: str
    region: str


@cache
def index() -> dict[str, tuple[Name, ...]]:
    """Every name of the catalogue, normalised, with its rows."""
    found: dict[str, list[Name]] = {}
    for row in rows("names"):
        name = Name(row["food"], row["form"], row["measure"], row["region"])
        found.setdefault(normal(row["name"]), []).append(name)
    return {phrase: tuple(each) for phrase, each in found.items()}


def look_up(phrase: str) -> tuple[Name, ...]:
    """The rows of a phrase (already normalised), singular or plural; empty when it is no name."""
    table = index()
    for candidate in singulars(phrase):
        if candidate in table:
            return table[candidate]
    return ()


def measure_of(amount: Amount | None) -> str:
    """The kind of measure a name may depend on: weight, volume, spoon, bunch, can, count, informal or ''."""
    if amount is None:
        return ""
    if amount.unit in _SPOONS:
        return "spoon"
    if amount.unit in _LEAFY:
        return "bunch"
    if amount.unit == "gram" and amount.number.high <= _SPOON_GRAMS:
        return "spoon"
    kind = vocabulary().kinds.get(amount.unit, "count")
    if kind == "container":
        return "can" if amount.unit in {"can", "jar"} else "weight"
    return {"mass": "weight", "length": "count", "use": "informal"}.get(kind, kind)


def narrowed(names: tuple[Name, ...], measure: str, region: str) -> tuple[Name, ...]:
    """The rows that hold for this measure and region, the most particular first kept."""
    by_measure = [each for each in names if each.measure == measure] or [each for each in names if not each.measure]
    by_region = [each for each in by_measure if each.region and each.region == region]
    if by_region:
        return tuple(by_region)
    return tuple(each for each in by_measure if not each.region)


@cache
def _by_word() -> dict[str, tuple[str, ...]]:
    """Word, and first three letters of a word, -> the names that hold it; misspelt names are left out."""
    found: dict[str, list[str]] = {}
    for row in rows("names"):
        if row["note"] != "misspelling":
            for word in normal(row["name"]).split():
                found.setdefault(word, []).append(normal(row["name"]))
                found.setdefault(word[:3] + "*", []).append(normal(row["name"]))
    return {word: tuple(dict.fromkeys(names)) for word, names in found.items()}


@lru_cache(maxsize=4096)
def suggestions(phrase: str) -> tuple[str, ...]:
    """At most five names near to a phrase, best first; for people to choose from, never to decide by.

    Only names that share a word, or the beginning of one, are compared: a name that shares neither helps nobody.
    """
    from rapidfuzz import fuzz, process

    words = phrase.split()[:8]
    keys = [each for word in words for each in (word, next(iter(singulars(word))), word[:3] + "*")]
    near = dict.fromkeys(name for key in keys for name in _by_word().get(key, ()))
    found = process.extract(phrase, near.keys(), scorer=fuzz.ratio, limit=12, score_cutoff=55)
    best: dict[str, str] = {}
    for name, _score, _place in found:
        if name in index():
            best.setdefault(index()[name][0].food, name)
    return tuple(best.values())[:5]
