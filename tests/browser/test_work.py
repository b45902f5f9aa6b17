"""The practitioner's work in a browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

AXE = Path(__file__).parents[1] / "vendor" / "axe-4.14.1.min.js"
PAGES = ["/", "/dishes/new", "/dishes/lentils", "/dishes/lentils/history", "/dishes/lentils/why/gos", "/plates/supper",
         "/plates/new", "/foods?words=dill", "/foods/garlic/raw", "/figures", "/sources/muir2007",
         "/keep", "/api"]  # fmt: skip


def kept(page: Page, number: int) -> None:
    """Wait until a version is acknowledged."""
    expect(page.locator("#standing")).to_contain_text(f"Version {number} is kept")


def test_type_a_dish_and_read_its_verdict(page: Page) -> None:
    page.goto("/dishes/new")
    page.get_by_label("Type or paste a dish").fill("Plum rice\nServes 2\n\nIngredients\n200 g rice")
    page.get_by_role("button", name="Put it on the bench").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Plum rice")
    expect(page.locator(".verdict")).to_have_text("within limit")
    page.get_by_label("Ingredients").press("Control+End")
    page.get_by_label("Ingredients").press_sequentially("\n4 cloves garlic")
    expect(page.locator(".verdict")).to_have_text("over limit")
    expect(page.locator("#rail")).to_contain_text("Garlic")


@pytest.mark.usefixtures("own_bench")
def test_fix_an_unmatched_line_by_a_choice(page: Page) -> None:
    page.goto("/dishes/lentils")
    page.get_by_label("Ingredients").fill("200 g chickpeas")
    page.get_by_role("button", name="Chickpeas, canned, drained", exact=True).click()
    expect(page.get_by_label("Ingredients")).to_have_value("200 g chickpeas, canned, drained")
    expect(page.locator("#asked")).to_be_empty()


def test_a_plate_shows_its_dishes_stacked(page: Page) -> None:
    page.goto("/plates/supper")
    for title in ("Baked salmon", "Warm lentils", "New potatoes"):
        expect(page.get_by_role("main")).to_contain_text(title)
    expect(page.get_by_role("main")).to_contain_text("limit")


def test_follow_a_figure_to_its_source_and_back(page: Page) -> None:
    page.goto("/dishes/lentils")
    page.locator("p.why").get_by_role("link", name="GOS", exact=True).click()
    page.locator('a[href^="/sources/"]').last.click()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    page.go_back()
    page.get_by_role("link", name="Warm lentils with beetroot").first.click()
    expect(page.locator("#dish")).to_be_visible()


@pytest.mark.usefixtures("own_bench")
def test_two_windows_on_one_dish_lose_nothing(page: Page) -> None:
    page.goto("/dishes/lentils")
    other = page.context.new_page()
    other.goto("/dishes/lentils")
    lines = page.get_by_label("Ingredients")
    lines.fill("5 g ginger\n" + lines.input_value())
    kept(page, 2)
    mine = other.get_by_label("Ingredients")
    mine.fill(mine.input_value() + "\n7 g parsley")
    expect(other.locator("#standing")).to_contain_text("What another")
    assert "5 g ginger" in mine.input_value()
    assert "7 g parsley" in mine.input_value()
    lines.fill(lines.input_value() + "\n1 g salt")
    expect(page.locator("#standing")).to_contain_text("What another")
    assert all(each in lines.input_value() for each in ("5 g ginger", "7 g parsley", "1 g salt"))


@pytest.mark.usefixtures("own_bench")
def test_text_that_was_never_acknowledged_survives_a_reload(page: Page) -> None:
    page.goto("/dishes/lentils")
    page.evaluate(
        """() => { const lines = document.getElementById("ingredients"); lines.value += "\\n9 g dill";
        lines.dispatchEvent(new Event("input", {bubbles: true})); }"""
    )
    page.reload()  # sooner than the quarter of a second after which it would have been sent
    expect(page.locator("#standing")).to_contain_text("Version 2 is kept")
    assert "9 g dill" in page.get_by_label("Ingredients").input_value()


@pytest.mark.usefixtures("own_bench")
def test_undo_brings_the_text_before_back(page: Page) -> None:
    page.goto("/dishes/lentils")
    before = page.get_by_label("Ingredients").input_value()
    page.get_by_label("Ingredients").fill("1 egg")
    kept(page, 2)
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_label("Ingredients")).to_have_value(before)


def test_the_main_job_by_keyboard_alone(page: Page) -> None:
    page.goto("/")
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()") == "Write a dish":
            break
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
    page.keyboard.press("Enter")
    page.wait_for_url("**/dishes/new")
    page.get_by_label("Type or paste a dish").focus()
    page.keyboard.type("Egg\nServes 1\nIngredients\n2 eggs")
    page.keyboard.press("Tab")
    while page.evaluate("document.activeElement.tagName") != "BUTTON":
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator(".verdict")).to_have_text("within limit")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious_and_no_page_scrolls_sideways(page: Page, scheme: str) -> None:
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    trouble = []
    for address in PAGES:
        page.goto(address)
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("async () => (await axe.run(document, {resultTypes: ['violations']})).violations")
        serious = [each for each in found if each["impact"] in {"serious", "critical"}]
        trouble += [f"{address}: {each['id']}: {each['nodes'][0]['html'][:150]}" for each in serious]
        page.set_viewport_size({"width": 360, "height": 800})
        wide = page.evaluate("document.documentElement.scrollWidth")
        trouble += [f"{address}: {wide} px wide on a phone"] if wide > 360 else []
        page.set_viewport_size({"width": 1280, "height": 900})
    assert trouble == []
