"""Writing a dish: its verdict while it is written, its questions, two windows on it, and a server that is away."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.browser.acts import kept, kept_beyond, new_dish
from tests.browser.watch import Watch

RICE = "Rice\n\nServes 2\n\nIngredients\n200 g white rice\n1 tbsp olive oil\n\nMethod\nBoil the rice."


def test_a_typed_dish_has_its_verdict(page: Page) -> None:
    new_dish(page, RICE)
    expect(page.get_by_role("heading", level=1)).to_have_text("Rice")
    expect(page.locator(".verdict")).to_have_text("within limit")
    number = kept(page)
    page.get_by_label("Ingredients", exact=True).press("Control+End")
    page.keyboard.type("\n4 cloves garlic")
    expect(page.locator(".verdict")).to_have_text("over limit")
    expect(page.get_by_role("list", name="What each row was read as")).to_contain_text("Garlic, raw")
    kept_beyond(page, number)
    page.reload()
    expect(page.get_by_label("Ingredients", exact=True)).to_have_value(re.compile("4 cloves garlic"))


def test_a_smaller_serving_has_another_verdict(page: Page) -> None:
    new_dish(page, RICE.replace("1 tbsp olive oil", "10 g onion"))
    verdict = page.locator("#verdict-head")
    before = verdict.inner_text()
    page.get_by_role("slider", name=re.compile("How much is eaten")).focus()
    page.keyboard.press("Home")
    expect(verdict).to_contain_text("0.1 servings")
    expect(page.get_by_role("slider")).to_be_focused()
    assert "within" not in before
    expect(verdict).to_contain_text("within")


def test_a_row_that_names_no_food_is_answered_by_a_click(page: Page) -> None:
    new_dish(page, RICE.replace("1 tbsp olive oil", "150 g bread"))
    asked = page.get_by_role("region", name="Please answer")
    expect(asked).to_contain_text("'bread' is not in the catalogue")
    number = kept(page)
    asked.get_by_role("button", name="rye bread").click()
    kept_beyond(page, number)
    expect(asked).to_have_count(0)
    lines = page.get_by_label("Ingredients", exact=True)
    expect(lines).to_have_value(re.compile("150 g rye bread"))
    expect(lines).to_be_focused()


def test_a_row_that_leaves_the_form_open_is_answered_by_a_click(page: Page) -> None:
    new_dish(page, RICE.replace("1 tbsp olive oil", "200 g chickpeas"))
    page.get_by_role("button", name="Chickpeas, canned, drained", exact=True).click()
    expect(page.get_by_label("Ingredients", exact=True)).to_have_value(re.compile("200 g chickpeas, canned, drained"))
    expect(page.locator("#asked")).to_be_empty()


def test_undo_and_redo(page: Page) -> None:
    new_dish(page, RICE)
    number = kept(page)
    lines = page.get_by_label("Ingredients", exact=True)
    before = lines.input_value()
    lines.fill(before + "\n50 g walnuts")
    kept_beyond(page, number)
    page.get_by_role("button", name="Undo").click()
    expect(lines).to_have_value(before)
    page.get_by_role("button", name="Redo").click()
    expect(lines).to_have_value(before + "\n50 g walnuts")


def test_two_windows_on_one_dish_lose_nothing(page: Page) -> None:
    other = page.context.new_page()
    other.goto(new_dish(page, RICE))
    number = kept(other)
    lines, mine = (each.get_by_label("Ingredients", exact=True) for each in (page, other))
    lines.fill("5 g ginger\n" + lines.input_value())
    kept_beyond(page, number)
    mine.fill(mine.input_value() + "\n7 g parsley")
    expect(other.locator("#standing")).to_contain_text("What another")
    assert all(each in mine.input_value() for each in ("5 g ginger", "7 g parsley"))
    lines.fill(lines.input_value() + "\n1 g salt")
    expect(page.locator("#standing")).to_contain_text("What another")
    assert all(each in lines.input_value() for each in ("5 g ginger", "7 g parsley", "1 g salt"))


def test_two_windows_on_one_row_keep_both(contexts: Callable[[], BrowserContext]) -> None:
    one, other = contexts().new_page(), contexts().new_page()
    other.goto(new_dish(one, RICE))
    number = kept(other)
    first, second = (each.get_by_label("Ingredients", exact=True) for each in (one, other))
    first.fill(first.input_value().replace("200 g", "150 g"))
    kept_beyond(one, number)
    second.fill(second.input_value().replace("200 g", "250 g"))
    kept_beyond(other, number + 1)
    expect(second).to_have_value(re.compile("150 g white rice\n250 g white rice"))
    expect(other.get_by_role("alert")).to_contain_text("Both are kept")
    number = kept(other)
    one.get_by_label("Method").fill("Boil it.")
    kept_beyond(one, number)
    expect(first).to_have_value(re.compile("150 g white rice\n250 g white rice"))


def test_the_caret_stays_in_its_row_when_rows_come_in_above(contexts: Callable[[], BrowserContext]) -> None:
    one, other = contexts().new_page(), contexts().new_page()
    other.goto(new_dish(one, RICE))
    number = kept(one)
    first, second = (each.get_by_label("Ingredients", exact=True) for each in (one, other))
    second.fill("5 g ginger\n" + second.input_value())
    kept_beyond(other, number)
    first.press("Control+End")
    one.keyboard.type("\n1 g sa")
    expect(first).to_have_value(re.compile("^5 g ginger\n.*\n1 g sa$", re.DOTALL))
    one.keyboard.type("lt")
    expect(first).to_have_value(re.compile("\n1 g salt$"))


def test_typing_on_while_another_window_changes_the_dish(contexts: Callable[[], BrowserContext]) -> None:
    one, other = contexts().new_page(), contexts().new_page()
    other.goto(new_dish(one, RICE))
    first, second = (each.get_by_label("Ingredients", exact=True) for each in (one, other))
    first.press("Control+End")
    second.press("Control+Home")
    for turn in range(4):
        one.keyboard.type(f"\n{turn + 1} g salt")
        other.keyboard.type(f"{turn + 1} g dill\n")
        one.wait_for_timeout(200)
    wanted = [f"{turn + 1} g {food}" for turn in range(4) for food in ("salt", "dill")]
    for each in (one, other, one):
        number = kept(each)
        each.get_by_label("Method").press("Control+End")
        each.keyboard.type(" .")
        kept_beyond(each, number)
    for lines in (first, second):
        rows = lines.input_value().split("\n")
        assert [each for each in wanted if each not in rows] == [], rows


def test_text_that_was_never_sent_survives_a_reload(page: Page) -> None:
    new_dish(page, RICE)
    number = kept(page)
    page.evaluate(
        """() => { const lines = document.getElementById("ingredients"); lines.value += "\\n9 g dill";
        lines.dispatchEvent(new Event("input", {bubbles: true})); }"""
    )
    page.reload()  # sooner than the quarter of a second after which it would have been sent
    kept_beyond(page, number)
    expect(page.get_by_label("Ingredients", exact=True)).to_have_value(re.compile("9 g dill"))


def test_text_written_while_the_server_is_away_survives(page: Page, watch: Watch) -> None:
    watch.expected.append("ERR_INTERNET_DISCONNECTED")
    address = new_dish(page, RICE)
    number = kept(page)
    page.context.set_offline(True)
    lines = page.get_by_label("Ingredients", exact=True)
    lines.fill(lines.input_value() + "\n20 g sesame seeds")
    expect(page.locator("#standing")).to_contain_text("Not kept yet")
    page.close()
    page.context.set_offline(False)
    again = page.context.new_page()
    again.goto(address)
    kept_beyond(again, number)
    again.reload()
    expect(again.get_by_label("Ingredients", exact=True)).to_have_value(re.compile("20 g sesame seeds"))


def test_an_open_window_tries_again_by_itself(page: Page, watch: Watch) -> None:
    watch.expected.append("ERR_INTERNET_DISCONNECTED")
    new_dish(page, RICE)
    number = kept(page)
    page.context.set_offline(True)
    page.get_by_label("Method").fill("Boil it, later.")
    expect(page.locator("#standing")).to_contain_text("Not kept yet")
    page.context.set_offline(False)
    kept_beyond(page, number)


def test_typing_with_pauses_keeps_every_blank_and_new_line(page: Page) -> None:
    page.goto("/dishes/lentils")
    lines = page.get_by_label("Ingredients", exact=True)
    lines.fill("")
    for words in ("200 g", " ", "rice", "\n", "1", " ", "egg"):
        lines.press_sequentially(words)
        page.wait_for_timeout(700)
    assert lines.input_value() == "200 g rice\n1 egg"


def test_a_plate_that_was_not_acknowledged_goes_in_when_it_is_opened_again(page: Page) -> None:
    page.goto("/plates/supper")
    page.evaluate(
        """() => { const field = document.getElementById("number-0"); field.value = "2";
        field.dispatchEvent(new Event("input", {bubbles: true})); }"""
    )
    page.reload()
    expect(page.locator("#number-0")).to_have_value("2")
    expect(page.locator("#standing")).to_contain_text("is kept")
    page.wait_for_timeout(1000)
    page.reload()
    expect(page.locator("#number-0")).to_have_value("2")


def test_what_is_typed_before_the_script_is_there_is_kept(page: Page) -> None:
    def late(route: Route) -> None:
        page.get_by_label("Ingredients", exact=True).fill("1 egg")
        route.continue_()

    page.route("**/static/bench.js*", late)
    page.goto("/dishes/lentils", wait_until="commit")
    kept_beyond(page, 1)
    expect(page.locator(".verdict")).to_have_text("within limit")
