"""Every page in every look: no serious finding of axe, nothing sideways on a phone, calm motion, a clean print."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import FilePayload, Page, expect

from tests.browser.acts import new_dish
from tests.browser.places import PLACES
from tests.browser.watch import Watch

AXE = Path(__file__).parents[1] / "vendor" / "axe-4.14.1.min.js"
RUN = "async () => (await axe.run(document, {resultTypes: ['violations']})).violations"
PHONE = 360  # CSS pixels, the width of a small phone
WIDE = """() => [...document.querySelectorAll("body *")]
  .filter((each) => each.getBoundingClientRect().right > innerWidth + 1)
  .filter((each) => !each.closest(".scroll, .lines, .bar-picture"))
  .slice(0, 3).map((each) => each.outerHTML.slice(0, 120))"""
MOVING = """() => [...document.querySelectorAll("*")].filter((each) => {
  const style = getComputedStyle(each);
  const long = (words) => words.split(",").some((each) => parseFloat(each) > 0);
  return style.scrollBehavior === "smooth" || long(style.transitionDuration) ||
    (style.animationName !== "none" && long(style.animationDuration));
}).map((each) => each.outerHTML.slice(0, 80))"""


def _findings(page: Page) -> list[str]:
    """What axe finds serious on the page as it stands. It goes in by the debugger, for the policy forbids a tag."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    found: list[dict[str, Any]] = page.evaluate(RUN)
    serious = [each for each in found if each["impact"] in {"serious", "critical"}]
    return [f"{page.url}: {each['id']}: {node['html'][:150]}" for each in serious for node in each["nodes"][:3]]


def _in_both_looks(page: Page) -> list[str]:
    trouble = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        trouble += [f"{scheme}: {each}" for each in _findings(page)]
    return trouble


def _sideways(page: Page) -> list[str]:
    """What stands out to the right of a phone's screen."""
    page.set_viewport_size({"width": PHONE, "height": 800})
    wide = page.evaluate("document.documentElement.scrollWidth")
    found = [f"{page.url}: {wide} px: {page.evaluate(WIDE)}"] if wide > PHONE else []
    page.set_viewport_size({"width": 1280, "height": 900})
    return found


@pytest.mark.parametrize("place", PLACES)
def test_every_page(page: Page, place: str) -> None:
    page.goto(place)
    expect(page.get_by_role("heading", level=1)).to_have_count(1)
    assert _in_both_looks(page) + _sideways(page) == []
    page.emulate_media(reduced_motion="reduce")
    assert page.evaluate(MOVING) == []


def test_a_page_that_is_not_there(page: Page, watch: Watch) -> None:
    watch.expected.append("404")
    for place in ("/dishes/there-is-none", "/nowhere", "/sources/nobody"):
        page.goto(place)
        assert _in_both_looks(page) + _sideways(page) == []


@pytest.mark.usefixtures("first_bench")
def test_the_first_start(page: Page) -> None:
    page.goto("/")
    expect(page.get_by_role("button", name="Begin empty")).to_be_visible()
    assert _in_both_looks(page) + _sideways(page) == []
    page.get_by_role("button", name="Begin empty").click()
    assert _in_both_looks(page) + _sideways(page) == []


def test_a_dish_that_asks_and_one_that_is_empty(page: Page) -> None:
    new_dish(page, "Questions\nServes 2\n\nIngredients\n150 g bread\n200 g beans\nzorbleberry\n3 glugs of oil")
    expect(page.get_by_role("region", name="Please answer")).to_be_visible()
    assert _in_both_looks(page) + _sideways(page) == []
    new_dish(page, "")
    assert _in_both_looks(page) + _sideways(page) == []


def _file(name: str, text: str) -> FilePayload:
    return {"name": name, "mimeType": "text/plain", "buffer": text.encode()}


def test_files_to_bring_in(page: Page) -> None:
    page.goto("/keep")
    good = "---\ntitle: Toast\nserves: 1\n---\n## Ingredients\n60 g gluten-free bread\n"
    given = [_file("toast.md", good), _file("salmon.md", good), _file("broken.yaml", ": : :")]
    page.get_by_label("Files", exact=True).set_input_files(given)
    page.get_by_role("button", name="Show what they hold").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Files to bring in")
    assert _in_both_looks(page) + _sideways(page) == []


@pytest.mark.usefixtures("own_bench")
def test_versions_side_by_side_and_own_figures(page: Page, watch: Watch) -> None:
    watch.expected.append("400")
    page.goto("/dishes/salmon")
    page.get_by_label("Method").fill("Bake it.")
    expect(page.locator("#standing")).to_contain_text("Version 2 is kept")
    page.goto("/dishes/salmon/history")
    page.get_by_role("link", name="Loads before and after").click()
    assert _in_both_looks(page) + _sideways(page) == []
    page.goto("/figures")
    page.get_by_label("Change them, or give others").or_(page.get_by_label("Give figures")).fill("food,form\nx,y")
    page.get_by_role("button", name="Look at what they change").click()
    assert _in_both_looks(page) + _sideways(page) == []


def test_a_chosen_look_stays(page: Page) -> None:
    page.goto("/foods")
    paper = "getComputedStyle(document.documentElement).backgroundColor"
    light = page.evaluate(paper)
    page.get_by_role("button", name="dark").click()
    expect(page).to_have_url("/foods")
    page.goto("/sources")
    assert page.evaluate(paper) != light
    assert _findings(page) == []


def test_a_printed_dish_is_the_dish_alone(page: Page) -> None:
    page.goto("/dishes/salmon")
    page.emulate_media(media="print")
    for each in (
        page.get_by_role("navigation", name="Rooms"), page.get_by_role("contentinfo"), page.locator(".crumbs"),
        page.get_by_role("button", name="Undo"), page.get_by_role("slider"), page.locator(".phases"),
    ):  # fmt: skip
        expect(each).to_be_hidden()
    for each in (
        page.get_by_role("heading", level=1),
        page.get_by_label("Ingredients", exact=True),
        page.locator(".verdict"),
    ):
        expect(each).to_be_visible()
    assert page.evaluate(
        "document.getElementById('ingredients').scrollHeight <= document.getElementById('ingredients').clientHeight + 2"
    )
