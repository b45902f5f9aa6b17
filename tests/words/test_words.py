"""What people read, kept in words.txt: the demo's assessments, a figure taken apart, the catalogue's answers."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from lowsimmer.demo import DISHES, KITCHEN, MEAL
from lowsimmer.loads.gaps import find_gaps
from lowsimmer.loads.report import report
from lowsimmer.loads.why import explain
from lowsimmer.matching.search import search
from lowsimmer.publishing.foods import foods_text
from lowsimmer.publishing.forest import figures_text
from lowsimmer.publishing.gaps import gaps_text
from lowsimmer.publishing.sources import source_text
from lowsimmer.publishing.text import assessment_text
from lowsimmer.publishing.why import why_text
from lowsimmer.reading.meal import open_plate
from lowsimmer.reference.evidence import source_use
from tests.snapshots import check

WORDS = Path(__file__).parent / "words.txt"


@pytest.mark.parametrize("name", [*DISHES, MEAL])
def test_the_words_of_an_assessment(name: str) -> None:
    found = report(open_plate(str(KITCHEN / name)))
    check(WORDS, f"assess {name}", assessment_text(found.result, found.phases).strip())


@pytest.mark.parametrize("group", ["fructan", "lactose", "excess-fructose"])
def test_the_words_of_why(group: str) -> None:
    found = report(open_plate(str(KITCHEN / MEAL)))
    check(WORDS, f"why {MEAL} {group}", why_text(explain(found.result, group)).strip())


@pytest.mark.parametrize("words", ["chickpea canned", "garlic", "quinnoa"])
def test_the_words_of_foods(words: str) -> None:
    check(WORDS, f"foods {words}", foods_text(search(words)).strip())


@pytest.mark.parametrize("words", ["garlic raw", "nashi pear"])
def test_the_words_of_a_forest_plot(words: str) -> None:
    found = search(words)
    check(WORDS, f"foods {words} --figures", figures_text(replace(found, foods=found.foods[:1])).strip())


def test_the_words_of_gaps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(KITCHEN)
    check(WORDS, "foods gaps", gaps_text(find_gaps([*DISHES, MEAL])).strip())


def test_the_words_of_a_source() -> None:
    check(WORDS, "sources henry1989", source_text(source_use("henry1989")).strip())
