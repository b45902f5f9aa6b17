"""What the bench answers while a dish is written: one answer a line at once, then the whole judged.

A half-written dish is still answered line by line; what is missing for a judgement is said as one sentence.
"""

from __future__ import annotations

from dataclasses import dataclass

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Finding, Kind, Severity
from lowsimmer.domain.lines import Dish
from lowsimmer.loads.report import Report
from lowsimmer.measuring.choices import Choice, choices_for
from lowsimmer.measuring.weigh import Item, items_of
from lowsimmer.publishing.text import range_words
from lowsimmer.reading.dish import MOST_LINES, REGIONS, read_dish
from lowsimmer.reading.line import reader
from lowsimmer.reading.sheet import Sheet, dish_text
from lowsimmer.store.store import Store
from lowsimmer.web.kitchen import assessed

HEADING = "#"
UNMATCHED = {Kind.NOT_MATCHED, Kind.FORM_UNCLEAR, Kind.FORM_NOT_KNOWN, Kind.NOT_UNDERSTOOD}


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one row of the ingredients: a row may be empty, a heading, or a line of one food or more."""

    place: int
    text: str
    words: str
    weight: str
    asks: tuple[Finding, ...] = ()
    choices: tuple[Choice, ...] = ()

    @property
    def matched(self) -> bool:
        """True when nothing about the food of this row has to be asked."""
        return not self.asks


def answer_rows(ingredients: str, region: str) -> list[Answer]:
    """One answer a row, so that rows and answers can stand side by side."""
    rows = ingredients.splitlines()[:MOST_LINES]
    return [_answer(place, row, region) for place, row in enumerate(rows)]


def _answer(place: int, row: str, region: str) -> Answer:
    text = row.strip()
    if not text or text.startswith(HEADING):
        return Answer(place, text, "", "")
    items = items_of(reader().read(text.lstrip("-*+ ")), region)
    told = dict.fromkeys(each for item in items for each in item.findings)
    if any(each.kind is Kind.HEADING for each in told):
        return Answer(place, text, "", "")
    asks = tuple(each for each in told if each.severity is Severity.ASK)
    choices = tuple(choice for item in items for choice in choices_for(item, region))
    return Answer(place, text, _words(items), _weight(items), asks, choices)


def _words(items: list[Item]) -> str:
    return " and ".join(item.label if item.key else f"not matched: {item.label}" for item in items)


def _weight(items: list[Item]) -> str:
    return " + ".join(f"{range_words(item.grams.range)} g" if item.grams else "weight unknown" for item in items)


@dataclass(frozen=True, slots=True)
class Judged:
    """A sheet judged: the rows, and the report, or the sentence why there is none yet."""

    rows: list[Answer]
    report: Report | None
    dish: Dish | None
    missing: str


def judged(store: Store, sheet: Sheet, profile: str, servings: float = 1.0) -> Judged:
    """Every row answered, and the dish as a whole assessed where it can be."""
    rows = answer_rows(sheet.ingredients, sheet.region if sheet.region in REGIONS else "")
    try:
        dish = read_dish(dish_text(sheet), "The dish")
        return Judged(rows, assessed(store, dish, profile, servings), dish, "")
    except InputError as error:
        return Judged(rows, None, None, str(error))
