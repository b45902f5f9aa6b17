"""The whole work by keyboard alone, with the place always to be seen."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.places import PLACES

MOST_STOPS = 120
HERE = """() => {
  const here = document.activeElement, style = getComputedStyle(here), box = here.getBoundingClientRect();
  const outlined = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  const inside = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  const shown = box.width > 1 && box.height > 1 && inside;
  return {words: here.outerHTML.slice(0, 120), body: here === document.body, seen: outlined && shown};
}"""


def _tab_to(page: Page, words: str) -> None:
    """Press Tab until what is focused is called so."""
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        assert page.evaluate(HERE)["seen"]
        if (
            page.evaluate("() => document.activeElement.matches('a, button') && document.activeElement.innerText")
            == words
        ):
            return
    raise AssertionError(f"Tab does not come to '{words}'")


def _tab_to_field(page: Page, name: str) -> None:
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == name:
            return
    raise AssertionError(f"Tab does not come to the field '{name}'")


def test_a_dish_from_the_first_page_to_a_source(page: Page) -> None:
    page.goto("/")
    _tab_to(page, "Write a dish")
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile("/dishes/new"))
    _tab_to_field(page, "text")
    page.keyboard.type("Beans on toast\nServes 1\n\nIngredients\n60 g gluten-free bread")
    _tab_to(page, "Put it on the bench")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Beans on toast")
    _tab_to_field(page, "ingredients")
    page.keyboard.press("Control+End")
    page.keyboard.type("\n150 g canned chickpeas")
    expect(page.locator("#verdict-head")).to_contain_text("over")
    _tab_to(page, "GOS")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Beans on toast: GOS")
    _tab_to(page, "Back to Beans on toast")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Ingredients", exact=True)).to_have_value(re.compile("chickpeas"))


def test_the_page_can_be_jumped_to(page: Page) -> None:
    page.goto("/dishes/salmon")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the page")).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Undo")).to_be_focused()


@pytest.mark.parametrize("place", PLACES)
def test_the_place_is_seen_at_every_stop(page: Page, place: str) -> None:
    page.goto(place)
    unseen: list[str] = []
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        here: dict[str, Any] = page.evaluate(HERE)
        if here["body"]:
            break
        unseen += [] if here["seen"] else [here["words"]]
    assert unseen == []
