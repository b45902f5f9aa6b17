from __future__ import annotations

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lowsimmer.reading.pasted import pasted
from lowsimmer.reading.sheet import Sheet, dish_text, sheet_of

PAGE = """Grandma's summer soup 🍲
So tasty, you will love this one on a cold evening.
Serves 4–6 | Prep 10 min
🛒 INGREDIENTS:
- 2 carrots
• 1 litre water
**Topping**
- 2 tbsp dill
Directions:
- Chop.
- Boil.

Notes
Good cold.
"""
LOOSE = """Dill potatoes
700 g new potatoes
2 tbsp butter
dill
salt and pepper
Boil the potatoes in salted water for eighteen minutes until they are tender.
Drain.
Toss with butter."""
RECIPE = {
    "@type": "Recipe",
    "name": "Rice",
    "recipeIngredient": ["100 g rice", "# 2 pinches salt"],
    "recipeInstructions": "Boil.\nEat.",
}
LINES = (
    "Plum rice", "# Plum rice", "Serves 2", "serves four people", "Serves 4 | Prep 10 min", "Makes 12 cakes", "For 2",
    "4 servings", "Ingredients", "## Ingredients (for 4)", "INGREDIENTS:", "Ingredients: 2 eggs", "You'll need:",
    "Method", "**Method**", "Method: fry it", "Notes", "## Anything else", "### Dressing", "For the dressing:",
    "**Dressing**", "200 g rice", "- salt", "• 2 tbsp dill", "1. Boil the rice.", "2) Eat", "Step 3: rest",
    "Preparation time: 10 minutes", "#soup #yum", "-----", "", "dill", "## 2 eggs", "a: b", "title: x",
    "Boil the potatoes in salted water for eighteen minutes until they are tender.",
)  # fmt: skip
MARKS = re.compile(r"[^\w]+")
SAID_BY_PLACE = set(MARKS.split("serves servings makes for ingredients you ll need method people notes 2 4 four"))


def test_a_page_with_headings() -> None:
    assert pasted(PAGE) == Sheet(
        title="Grandma's summer soup 🍲",
        serves="4-6",
        notes="So tasty, you will love this one on a cold evening.\nServes 4–6 | Prep 10 min",
        ingredients="2 carrots\n1 litre water\n### Topping\n2 tbsp dill",
        method="Chop.\nBoil.",
        rest="## Notes\nGood cold.",
    )


def test_a_text_without_headings() -> None:
    sheet = pasted(LOOSE)
    assert sheet.title == "Dill potatoes"
    assert sheet.ingredients == "700 g new potatoes\n2 tbsp butter\ndill\nsalt and pepper"
    assert sheet.method.split("\n")[1:] == ["Drain.", "Toss with butter."]


@pytest.mark.parametrize(
    ("line", "serves", "makes"),
    [
        ("Serves 4", "4", ""),
        ("SERVES: 4 to 6.", "4 to 6", ""),
        ("Serves four people", "four", ""),
        ("For 2 people", "2", ""),
        ("4 servings", "4", ""),
        ("Yield: 4", "4", ""),
        ("Yield: 12 muffins", "", "12 muffins"),
        ("Makes about 12 fritters", "", "12 fritters"),
        ("Makes 12", "", "12 pieces"),
        ("Makes 4 servings", "4", ""),
        ("Prep 10 min, 6 portions", "6", ""),
        ("For the dressing:", "", ""),
    ],
)
def test_how_many_it_is_for(line: str, serves: str, makes: str) -> None:
    sheet = pasted(f"Plum rice\n{line}\nIngredients\n200 g rice")
    assert (sheet.serves, sheet.makes) == (serves, makes)


def test_only_lines_no_title() -> None:
    sheet = pasted("2 eggs\n1 tbsp butter\n1. Beat the eggs.\n2. Fry.")
    assert sheet == Sheet(ingredients="2 eggs\n1 tbsp butter", method="1. Beat the eggs.\n2. Fry.")


def test_headings_with_the_text_behind_them() -> None:
    assert pasted("Ingredients: 2 eggs\nMethod: Fry the eggs.") == Sheet(ingredients="2 eggs", method="Fry the eggs.")


def test_a_numbered_list_of_ingredients_is_one() -> None:
    assert pasted("Omelette\nIngredients\n1. 2 eggs\n2. 10 g butter").ingredients == "1. 2 eggs\n2. 10 g butter"


def test_recipe_data_is_recognised_also_without_servings() -> None:
    expected = Sheet(title="Rice", ingredients="100 g rice\n### 2 pinches salt", method="1. Boil.\n2. Eat.")
    assert pasted(json.dumps(RECIPE)) == expected
    assert pasted(f'<script type="application/ld+json">{json.dumps(RECIPE)}</script>') == expected


def test_a_page_without_recipe_data_is_read_by_its_words() -> None:
    page = """<html><head><title>x</title><script>var a = "<b>";</script></head><body><h1>Rice</h1><p>Serves 2</p>
    <h2>Ingredients</h2><ul><li>200 g <b>rice</b></li><li>salt</li></ul><h2>Method</h2><p>Boil.</p></body></html>"""
    assert pasted(page) == Sheet(title="Rice", serves="2", ingredients="200 g rice\nsalt", method="Boil.")


def test_a_dish_file_is_taken_as_it_is() -> None:
    text = "---\ntitle: Rice\nlayout: post\nserves: 2\nauthor: Marit\n---\n## Ingredients\n- 1 egg\n\n## Notes\nFine.\n"
    sheet = pasted(text)
    assert sheet.extra == {"author": "Marit"}
    assert sheet.rest == "## Notes\nFine.\n\n## Other fields\nlayout: post"
    assert pasted(dish_text(sheet)) == sheet


@settings(max_examples=300)
@given(st.lists(st.sampled_from(LINES), max_size=12))
def test_every_word_stays_and_the_sheet_can_be_kept(lines: list[str]) -> None:
    sheet = pasted("\n".join(lines))
    assert sheet_of(dish_text(sheet)) == sheet
    kept = set(MARKS.split(dish_text(sheet).lower()))
    given_words = {word for line in lines for word in MARKS.split(line.lower())}
    assert given_words - kept <= SAID_BY_PLACE


@given(st.text())
def test_no_text_is_refused(text: str) -> None:
    dish_text(pasted(text))


@given(st.text(alphabet="<>{}[]/\"':,-# \nab1script", max_size=60))
def test_no_broken_page_is_refused(text: str) -> None:
    dish_text(pasted(text))
