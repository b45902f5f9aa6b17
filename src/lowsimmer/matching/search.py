"""Searching the catalogue by words."""

from __future__ import annotations

from dataclasses import dataclass

from lowsimmer.domain.foods import Food
from lowsimmer.matching.names import index, look_up, suggestions
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.phrases import normal

MOST = 40
_FIRST = {"raw", "as-sold", "fluid", "dry"}  # the form a food is bought in comes before what is made of it


@dataclass(frozen=True, slots=True)
class Found:
    """Foods that a search found: those whose names or label hold every word; or, failing that, near names."""

    words: str
    foods: tuple[Food, ...]
    near: tuple[str, ...]


def search(words: str) -> Found:
    """The foods whose name or label holds all the words; exact names first."""
    phrase = normal(words)
    exact = {name.food for name in look_up(phrase)}
    by_name = {name.food for known, rows in index().items() if _holds(known, phrase) for name in rows}
    found = [food for food in foods().values() if food.key.food in by_name or _holds(normal(food.label), phrase)]
    found.sort(key=lambda food: (food.key.food not in exact, food.key.food, food.key.form not in _FIRST, food.label))
    return Found(words, tuple(found[:MOST]), suggestions(phrase) if not found else ())


def _holds(known: str, phrase: str) -> bool:
    return all(f" {word}" in f" {known}" for word in phrase.split())
