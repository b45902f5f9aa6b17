"""A plate put together and read; a figure followed to its published source, and back."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.acts import kept, kept_beyond

SALMON, POTATOES = "Baked salmon with dill and mustard", "New potatoes with quark and cucumber"


def _new_plate(page: Page, title: str) -> None:
    page.goto("/plates/new")
    page.get_by_label("Title").fill(title)
    page.get_by_label("Dish 1").fill(SALMON)
    page.get_by_label("Dish 2").fill(POTATOES)
    page.get_by_role("button", name="Put the plate together").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(title)


def test_a_plate_of_two_dishes(page: Page) -> None:
    _new_plate(page, "Fish and potatoes")
    number = kept(page)
    page.get_by_label(f"How much of {POTATOES}").fill("4")
    kept_beyond(page, number)
    expect(page.locator("#verdict-head")).to_contain_text("over")
    table = page.get_by_role("table", name=re.compile("each dish"))
    expect(table.get_by_role("columnheader", name=SALMON)).to_be_visible()
    expect(table.get_by_role("row", name=re.compile("^lactose"))).to_contain_text("over")
    page.reload()
    expect(page.get_by_label(f"How much of {POTATOES}")).to_have_value("4")


def test_a_portion_in_grams(page: Page) -> None:
    _new_plate(page, "Fish by weight")
    number = kept(page)
    page.get_by_label(f"How much of {SALMON}").fill("120")
    page.get_by_label(f"Unit for {SALMON}").select_option("g")
    kept_beyond(page, number)
    page.reload()
    expect(page.get_by_label(f"How much of {SALMON}")).to_have_value("120")
    expect(page.get_by_label(f"Unit for {SALMON}")).to_have_value("g")


def test_the_bars_of_a_plate_name_their_dishes(page: Page) -> None:
    page.goto("/plates/supper")
    bars = page.locator("#judged .bar-picture svg").first
    expect(bars.locator("desc").first).to_have_text(re.compile("lactose.*New potatoes", re.DOTALL))


def test_a_dish_is_taken_off_and_added(page: Page) -> None:
    _new_plate(page, "Off and on")
    page.get_by_role("button", name=f"Take off: {SALMON}").click()
    expect(page.get_by_label(f"How much of {SALMON}")).to_have_count(0)
    page.get_by_label("A dish to add, by its title").fill(SALMON)
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_label(f"How much of {SALMON}")).to_be_visible()


@pytest.mark.parametrize("place", ["/dishes/lentils", "/plates/supper"])
def test_a_figure_is_followed_to_its_source_and_back(page: Page, place: str) -> None:
    page.goto(f"{place}?phase=maintenance")
    title = page.get_by_role("heading", level=1).inner_text()
    page.locator("#judged").get_by_role("link", name="GOS", exact=True).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{title}: GOS")
    page.get_by_role("table", name=re.compile("Figures that count")).get_by_role("link").first.click()
    expect(page.get_by_role("region", name="The work")).to_contain_text("Citation")
    expect(page.get_by_role("table", name=re.compile("figures"))).to_be_visible()
    page.get_by_role("main").get_by_role("link", name=re.compile("^GOS in ")).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{title}: GOS")
    page.get_by_role("link", name=f"Back to {title}").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(title)
    expect(page.get_by_role("navigation", name="Phase").locator("[aria-current]")).to_have_text("maintenance")
