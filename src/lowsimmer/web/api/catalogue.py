"""Lines and sheets that are not kept, foods, sources, and the soundness of the store, for scripts. Nothing changes."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.foods import FoodKey
from lowsimmer.matching.search import search
from lowsimmer.measuring.weigh import items_of
from lowsimmer.publishing.foods import food_record, foods_record
from lowsimmer.publishing.records import line_record
from lowsimmer.publishing.sources import source_record, source_with_figures
from lowsimmer.reading.dish import MOST_LINES
from lowsimmer.reading.line import reader
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.evidence import source_use, source_uses
from lowsimmer.reference.own import using
from lowsimmer.store.records import DocumentKind, NotKept
from lowsimmer.store.store import Store
from lowsimmer.web.api import records
from lowsimmer.web.api.answers import Record, answer
from lowsimmer.web.api.documents import assessment_of
from lowsimmer.web.api.models import KeyInPath, Lines, NameInPath, Sheet, Words
from lowsimmer.web.kitchen import assessed, kept_figures, read_kept


def reading_routes(store: Store) -> APIRouter:
    """What is read and judged without being kept."""
    router = APIRouter()

    @router.post("/read", response_model=list[records.LineRecord])
    def read(given: Lines) -> Response:
        """Ingredient lines, one a row, read as by `lowsimmer read --json`; empty rows are passed over."""
        rows = [row for row in given.text.splitlines() if row.strip()]
        if not 1 <= len(rows) <= MOST_LINES:
            raise InputError(f"There are {len(rows)} lines to read.", f"Give from 1 to {MOST_LINES}, one a row.")
        return answer([_line(row, given.region) for row in rows])

    @router.post("/assess", response_model=records.AssessmentRecord)
    def assess(given: Sheet) -> Response:
        """The text of a dish or a plate judged; nothing is kept."""
        sheet = read_kept(store, DocumentKind(given.kind), given.text)
        return answer(assessment_of(store, assessed(store, sheet, given.phase, given.servings)))

    return router


def _line(text: str, region: str) -> Record:
    line = reader().read(text)
    return line_record(line, items_of(line, region), region)


def food_routes(store: Store) -> APIRouter:
    """The catalogue, own figures in use."""
    router = APIRouter()

    @router.get("", response_model=records.FoodsFound)
    def search_foods(words: Words) -> Response:
        """Foods by words, with their contents, as by `lowsimmer foods --json`; at most 40."""
        if not words.strip():
            raise InputError("No word to search for was given.", "Name a food, for example: chickpea.")
        with using(kept_figures(store)):
            return answer(foods_record(search(words)))

    @router.get("/{food}/{form}", response_model=records.FoodRecord)
    def get_food(food: NameInPath, form: NameInPath) -> Response:
        """One food in one form, with every figure behind its contents."""
        key = FoodKey(food, form)
        if key not in foods():
            raise NotKept(f"The catalogue has no food '{food}' in the form '{form}'.", "Search the foods by words.")
        with using(kept_figures(store)):
            return answer(food_record(foods()[key]))

    return router


def source_routes() -> APIRouter:
    """Where the figures come from."""
    router = APIRouter()

    @router.get("", response_model=list[records.SourceRecord])
    def list_sources() -> Response:
        """Every source, and how many figures were taken from it."""
        return answer([source_record(each) for each in source_uses().values()])

    @router.get("/{key}", response_model=records.SourceWithFigures)
    def get_source(key: KeyInPath) -> Response:
        """One source with its figures."""
        if key not in source_uses():
            raise NotKept(f"No source is called '{key}'.", "See the list of sources.")
        return answer(source_with_figures(source_use(key)))

    return router


def store_routes(store: Store) -> APIRouter:
    """The store itself."""
    router = APIRouter()

    @router.get("/check", response_model=records.StoreCheck)
    def check() -> Response:
        """Whether everything that was kept is whole."""
        trouble = list(store.check())
        return answer({"sound": not trouble, "trouble": trouble})

    return router
