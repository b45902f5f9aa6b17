from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from lowsimmer.demo import KITCHEN
from lowsimmer.reading.dish import read_dish
from lowsimmer.reading.sheet import SHOWN, Sheet, dish_text, sheet_of

WHOLE = """---
title: Green lentil salad
serves: 4 to 6
region: uk
author: 'Marit: the cook'
tags:
  - cold
  - salad
time: {prep: 10, cook: 20}
---
A salad for a warm evening.

## Ingredients
### Dressing
- 2 tbsp olive oil

- 1 tsp mustard

## Directions
1. Whisk.
2. Toss.

## Notes
Keeps for two days.
### In a jar
Three.
"""

PIECES = (
    "---", "--- ", "-----", "title: Soup", "title: 'It''s soup' # mine", 'title: "half', "title:", "Title: Stew",
    "serves: 4", "serves 4", "serves: '4-6'", "makes: 12 fritters", "notes: |", "notes: >-", "  more words",
    "tags: [a, b]", "tags:", "- cold", "  - salad", "time: {prep: 5", "layout: post", "# a comment", "#", "##",
    "## ", "# Soup", "## Ingredients", "## ingredients for the dressing:", "## Method ##", "## Step by step",
    "## Notes", "### Dressing", "#### Deep", "- 2 eggs", "1. Boil: twice", "", " ", "\t", "a: b: c", "&a *b",
    "!tag x", "[[[", "{{x}}", "'", '"', "key: 'x", "extra: |-", "éclair: ½", "a:", "  b: c", "serve-by: spoon",
    "\x07 bell", "title: \x07", "no: yes", "title: 010", "source: https://example.org/a#b",
)  # fmt: skip
half_written = st.lists(st.one_of(st.sampled_from(PIECES), st.text(max_size=12)), max_size=14).map("\n".join)
SIGNS = st.characters(codec="utf-8", exclude_categories=("C", "Z"), exclude_characters="#")
TIDY_LINE = st.lists(st.text(SIGNS, min_size=1, max_size=8), min_size=1, max_size=4).map(" ".join)
TIDY_LINES = st.lists(TIDY_LINE, max_size=4).map("\n".join)


@settings(max_examples=400)
@given(half_written)
@example("---\n---\n## Ingredients\n2 eggs")
@example("---\ntitle: Soup\n## Ingredients\n- 2 eggs\n---\nmore")
@example("---\ntags: # two\n- a\n- b\n---\n")
def test_what_a_sheet_gave_comes_back_from_its_own_text(text: str) -> None:
    sheet = sheet_of(text)
    assert sheet_of(dish_text(sheet)) == sheet


@given(st.text())
def test_no_text_at_all_is_refused(text: str) -> None:
    once = dish_text(sheet_of(text))
    assert dish_text(sheet_of(once)) == once


@given(
    st.builds(
        Sheet,
        title=TIDY_LINE, serves=TIDY_LINE, region=TIDY_LINE, makes=TIDY_LINE, serve_by=TIDY_LINE, notes=TIDY_LINES,
        ingredients=TIDY_LINES, method=TIDY_LINES, rest=TIDY_LINES, extra=st.dictionaries(st.just("author"), TIDY_LINE),
    )
)  # fmt: skip
def test_a_tidy_sheet_comes_back_whole(sheet: Sheet) -> None:
    if not {"[", "{"} & {words[:1] for words in sheet.extra.values()}:
        assert sheet_of(dish_text(sheet)) == sheet


@settings(max_examples=300)
@given(st.lists(st.sampled_from([each for each in PIECES if "\x07" not in each]), max_size=14))
def test_no_word_is_lost(lines: list[str]) -> None:
    kept = dish_text(sheet_of("\n".join(lines))).lower()
    said_by_place = {"method", *(f"{key}:" for key in SHOWN)}
    for line in lines:
        words = re.sub(r"(?<=[^#]) #.*", "", line.lower().replace("serve-by", "serve_by"))  # without a comment
        for word in set(words.split()) - said_by_place:
            assert word.strip("#:'\"|>-[]{}&*!") in kept, (word, kept)


@pytest.mark.parametrize("file", sorted(KITCHEN.glob("*.md")), ids=lambda file: file.stem)
def test_the_dishes_of_the_worked_example_come_back_to_the_letter(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    assert dish_text(sheet_of(text)) == text


def test_a_whole_dish_reads_the_same_from_its_sheet() -> None:
    assert read_dish(dish_text(sheet_of(WHOLE)), "it") == read_dish(WHOLE, "it")


def test_everything_of_a_dish_has_its_place() -> None:
    sheet = sheet_of(WHOLE)
    assert (sheet.title, sheet.serves, sheet.region) == ("Green lentil salad", "4 to 6", "uk")
    assert sheet.extra["author"] == "Marit: the cook"
    assert sheet.ingredients == "### Dressing\n- 2 tbsp olive oil\n\n- 1 tsp mustard"
    assert sheet.method == "1. Whisk.\n2. Toss."
    assert sheet.rest.startswith("A salad for a warm evening.")
    assert sheet.rest.endswith("## Notes\nKeeps for two days.\n### In a jar\nThree.")
    text = dish_text(sheet)
    for line in WHOLE.replace("## Directions", "## Method").splitlines():
        assert line in text
    assert text.index("A salad") < text.index("## Ingredients") < text.index("## Method") < text.index("## Notes")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", Sheet()),
        ("2 eggs", Sheet(rest="2 eggs")),
        ("---", Sheet()),
        ("---\ntitle: Soup", Sheet(title="Soup")),
        ("---\ntitle: Soup\n## Ingredients\n- 1 egg", Sheet(title="Soup", ingredients="- 1 egg")),
        ("---\ntitle: Soup\nserves 4\n---\n", Sheet(title="Soup", rest="serves 4")),
        ("---\nTitle:Soup\nserve-by: spoon\n---\n", Sheet(title="Soup", serve_by="spoon")),
        ("---\ntitle: 'half\n---\n", Sheet(title="'half")),
        ("---\ntitle: Soup\ntitle: Stew\n---\n", Sheet(title="Stew", rest="title: Soup")),
        ("---\nnotes: |\n  one\n\n  two\n---\n", Sheet(notes="one\n\ntwo")),
        ("---\nnotes: one\n  two\n---\n", Sheet(notes="one two")),
        ("---\ntitle: &Sons\n---\n", Sheet(title="&Sons")),
        ("\ufeff---\r\ntitle: Soup\r\n---\r\n## Method\r\nBoil.\r\n", Sheet(title="Soup", method="Boil.")),
        ("## Ingredients for the jam\nplums", Sheet(ingredients="### Ingredients for the jam\nplums")),
    ],
)
def test_half_written_dishes(text: str, expected: Sheet) -> None:
    assert sheet_of(text) == expected


@pytest.mark.parametrize(
    "title", ["No", "010", "1:30", "a: b", "- x", "#1", "It's", "1e5", "null", "12", "'q'", "[a", "@"]
)
def test_the_reader_finds_the_title_that_was_typed(title: str) -> None:
    text = dish_text(Sheet(title=title, serves="2", ingredients="2 eggs"))
    assert read_dish(text, "it").title == sheet_of(text).title == title


def test_long_runs_of_blanks_are_read_in_no_time() -> None:
    blanks = " " * 60_000
    text = f"---\ntitle: a{blanks}b\nserves: 2\n---\n## a{blanks}b\n# a{blanks}b\n## Ingredients\n1 egg\n"
    began = time.perf_counter()
    assert sheet_of(text).ingredients == "1 egg"
    assert read_dish(text, "it").serves == 2
    assert time.perf_counter() - began < 2
