"""Lines, dishes that are not kept, foods and sources for scripts."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from lowsimmer.domain.foods import FoodKey
from lowsimmer.matching.search import search
from lowsimmer.measuring.weigh import items_of
from lowsimmer.publishing.foods import food_record, foods_record
from lowsimmer.publishing.records import assessment_record, line_record
from lowsimmer.publishing.sources import source_record, source_with_figures
from lowsimmer.reading.dish import read_dish
from lowsimmer.reading.line import reader
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.evidence import source_use, source_uses
from lowsimmer.reference.own import using
from lowsimmer.store.records import NotKept
from lowsimmer.store.store import Store
from lowsimmer.web.api.documents import Phase
from lowsimmer.web.api.models import DishText, Lines, Name, Words
from lowsimmer.web.kitchen import assessed, kept_figures

MOST_LINES = 400
Record = dict[str, Any]


def catalogue_routes(store: Store) -> APIRouter:
    """The operations that change nothing."""
    router = APIRouter()
    _reading(router, store)
    _looking_up(router, store)
    return router


def _reading(router: APIRouter, store: Store) -> None:
    @router.post("/read", tags=["reading"])
    def read(given: Lines) -> list[Record]:
        """Each line as `lowsimmer read --json` gives it; the first 400."""
        rows = [row for row in given.text.splitlines() if row.strip()][:MOST_LINES]
        lines = [reader().read(row) for row in rows]
        return [line_record(line, items_of(line, given.region), given.region) for line in lines]

    @router.post("/assess", tags=["reading"])
    def assess(given: DishText, phase: Phase = "restriction") -> Record:
        """A dish file judged; nothing is kept."""
        report = assessed(store, read_dish(given.text, "The dish"), phase)
        with using(kept_figures(store)):
            return assessment_record(report.result, report.phases)

    @router.get("/check", tags=["store"])
    def check() -> Record:
        """What is wrong with the store; an empty list when it is sound."""
        return {"trouble": list(store.check())}


def _looking_up(router: APIRouter, store: Store) -> None:
    @router.get("/foods", tags=["foods"])
    def found(words: Words) -> Record:
        """Foods by words, with their content."""
        with using(kept_figures(store)):
            return foods_record(search(words))

    @router.get("/foods/{food}/{form}", tags=["foods"])
    def food(food: Name, form: Name) -> Record:
        """One food in one form."""
        key = FoodKey(food, form)
        if key not in foods():
            raise NotKept(f"The catalogue has no '{key}'.", "Search for it.")
        with using(kept_figures(store)):
            return food_record(foods()[key])

    @router.get("/sources", tags=["sources"])
    def sources() -> list[Record]:
        """Every source with how much was taken from it."""
        return [source_record(each) for each in source_uses().values()]

    @router.get("/sources/{key}", tags=["sources"])
    def source(key: Name) -> Record:
        """One source with its figures."""
        if key not in source_uses():
            raise NotKept(f"No source is called '{key}'.", "See the list of sources.")
        return source_with_figures(source_use(key))
