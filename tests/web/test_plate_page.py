"""The plate page: what is changed is kept, what cannot be judged is said, two windows lose nothing."""

from __future__ import annotations

import re
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from lowsimmer.domain.errors import InputError
from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import Store
from lowsimmer.web.platesheet import UNITS, PlateSheet, Row, plate_sheet, plate_text, portion_of

IDS = re.compile(r"\bid=\"([^\"]+)\"")
PLATE, DISH = DocumentKind.PLATE, DocumentKind.DISH
SUPPER = ("salmon", "lentils", "potatoes", "crumble")
HTMX = {"HX-Request": "true", "X-Writer": "taba"}


def fields(base: int = 1, **changed: object) -> dict[str, object]:
    """The form of the supper as a browser sends it, with some fields changed."""
    form: dict[str, object] = {
        "base": str(base),
        "title": "Midsummer supper",
        "notes": "",
        "dish": list(SUPPER),
        "number": ["1", "1/2", "1", "1"],
        "unit": ["serving"] * 4,
        "add": "",
    }
    return form | changed


def rows(store: Store) -> list[tuple[str, str]]:
    """The dishes and portions of the supper as kept now."""
    return [(each.dish, each.words) for each in plate_sheet(store.head(PLATE, "supper").text).rows]


def test_the_plate_is_judged_by_dish_and_by_phase(client: TestClient) -> None:
    page = client.get("/plates/supper").text
    for words in ("Baked salmon", "Warm lentils", "Whole plate", "155 % of 1 g", "over limit", "unknown"):
        assert words in page
    assert page.count("<h1") == 1
    assert page.index("Caution.") < page.index("Noted")
    assert 'href="/plates/supper/why/gos?phase=restriction"' in page
    maintenance = client.get("/plates/supper?phase=maintenance").text
    assert 'href="/plates/supper?phase=maintenance" aria-current="true"' in maintenance
    assert "the whole plate, maintenance" in maintenance


def test_a_change_of_a_portion_is_kept_at_once_and_judged(client: TestClient, store: Store) -> None:
    reply = client.post("/plates/supper", data=fields(number=["2", "1/2", "1", "1"]), headers=HTMX)
    assert reply.status_code == 200
    assert "<form" not in reply.text
    assert "Version 2 is kept" in reply.text
    assert rows(store)[0] == ("salmon", "2 serving")


def test_without_script_a_change_leads_back_to_the_page(client: TestClient, store: Store) -> None:
    reply = client.post("/plates/supper", data=fields(title="Late supper"), follow_redirects=False)
    assert reply.status_code == 303
    assert reply.headers["location"] == "/plates/supper?phase=restriction"
    assert store.get(PLATE, "supper").title == "Late supper"


def test_the_notes_of_the_file_stay(client: TestClient, store: Store) -> None:
    form = {key: value for key, value in fields(title="Other").items() if key != "notes"}
    client.post("/plates/supper", data=form)
    assert "Marit Kask" in store.head(PLATE, "supper").text


def test_a_dish_is_added_by_title_and_taken_off(client: TestClient, store: Store) -> None:
    client.post("/plates/supper", data=fields(off="1"))
    assert [name for name, _ in rows(store)] == ["salmon", "potatoes", "crumble"]
    form = fields(2, dish=["salmon", "potatoes", "crumble"], number=["1"] * 3, unit=["serving"] * 3)
    client.post("/plates/supper", data=form | {"add": "warm lentils WITH beetroot"})
    assert rows(store)[-1] == ("lentils", "1 serving")


def test_a_title_that_is_still_being_typed_is_no_dish_yet(client: TestClient, store: Store) -> None:
    reply = client.post("/plates/supper", data=fields(add="Warm"), headers=HTMX)
    assert "No dish is called" not in reply.text
    assert len(rows(store)) == 4


def test_a_dish_that_is_not_kept_is_said_and_stays_typed(client: TestClient, store: Store) -> None:
    reply = client.post("/plates/supper", data=fields(add="lentil stew", title="Kept all the same"))
    assert reply.status_code == 422
    assert 'value="lentil stew"' in reply.text
    assert store.get(PLATE, "supper").title == "Kept all the same"
    near = client.post("/plates/supper", data=fields(2, add="lentils", adds="yes"), headers=HTMX)
    assert near.status_code == 200  # 'lentils' is the name of the dish's file


def test_a_dish_near_by_title_is_offered(client: TestClient, store: Store) -> None:
    reply = client.post("/plates/supper", data=fields(add="beetroot", adds="yes"), headers=HTMX)
    assert 'name="choose" value="lentils"' in reply.text
    client.post("/plates/supper", data=fields(1, choose="lentils"))
    assert [name for name, _ in rows(store)].count("lentils") == 2


def test_two_windows_on_one_plate_lose_nothing(client: TestClient, store: Store) -> None:
    client.post("/plates/supper", data=fields(number=["2", "1/2", "1", "1"]), headers=HTMX)
    other = client.post(
        "/plates/supper", data=fields(number=["1", "1/2", "1", "3"]), headers=HTMX | {"X-Writer": "tabb"}
    )
    assert "Another window changed this plate" in other.text
    assert [words for _, words in rows(store)] == ["2 serving", "1/2 serving", "1 serving", "3 serving"]
    assert 'name="base" value="3"' in other.text  # goes on from its own text, not from the merged one


def test_two_windows_that_add_keep_both_dishes(client: TestClient, store: Store) -> None:
    for name, writer in (("salmon", "taba"), ("crumble", "tabb")):
        reply = client.post("/plates/supper", data=fields(choose=name), headers=HTMX | {"X-Writer": writer})
        assert reply.status_code == 200
    assert [name for name, _ in rows(store)] == [*SUPPER, "salmon", "crumble"]


def test_a_portion_that_is_no_amount_is_kept_and_said(client: TestClient, store: Store) -> None:
    reply = client.post("/plates/supper", data=fields(number=["plenty", "1", "1", "1"]), headers=HTMX)
    assert "Not judged yet" in reply.text
    assert "plenty" in reply.text
    assert rows(store)[0] == ("salmon", "plenty serving")
    assert 'value="plenty"' in client.get("/plates/supper").text


def test_a_missing_dish_is_said_with_a_way_on(client: TestClient, store: Store) -> None:
    store.create(PLATE, "lost", "title: Lost\ndishes:\n  - file: nowhere.md\n    portion: 1 serving\n", "test")
    page = client.get("/plates/lost").text
    assert "No dish called &#39;nowhere&#39; is kept here" in page
    assert 'name="dish" value="nowhere"' in page
    assert "Not judged yet" in page


def test_a_half_written_dish_is_said_with_a_link_to_it(client: TestClient, store: Store) -> None:
    store.create(DISH, "half", "---\ntitle: Half\n---\n", "test")
    store.create(PLATE, "waits", "title: Waits\ndishes:\n  - half.md\n", "test")
    page = client.get("/plates/waits").text
    assert "Not yet readable" in page
    assert page.count('href="/dishes/half"') >= 2


def test_a_removed_dish_still_counts_and_is_said(client: TestClient, store: Store) -> None:
    store.remove(DISH, "salmon", "test")
    page = client.get("/plates/supper").text
    assert "was taken off the bench" in page
    assert "over limit" in page


@pytest.mark.parametrize(
    "text", ["title: [", "dishes: 5\n", "title: A\nmore: 1\n", "dishes:\n  - {file: a.md, size: 1}\n", "", "- a\n"]
)
def test_a_text_that_no_form_can_show_is_shown_as_text(client: TestClient, store: Store, text: str) -> None:
    store.create(PLATE, "broken", text, "test")
    page = client.get("/plates/broken")
    assert page.status_code == 200
    assert '<textarea id="text"' in page.text
    client.post("/plates/broken", data={"base": "1", "text": "title: Mended\ndishes:\n  - salmon.md\n"})
    assert "Version 2 is kept: " in client.get("/plates/broken").text


def test_an_edit_without_its_base_is_refused(client: TestClient) -> None:
    assert client.post("/plates/supper", data=fields() | {"base": "x"}).status_code == 400
    assert client.post("/plates/supper", data=fields(99)).status_code == 404


def test_a_new_plate_keeps_what_was_typed_when_a_dish_is_not_kept(client: TestClient, store: Store) -> None:
    reply = client.post("/plates/new", data={"title": "Lunch", "dish": ["salmon", "nowhere"]})
    assert reply.status_code == 422
    for words in ('value="Lunch"', 'value="salmon"', 'value="nowhere"', "No dish is called &#39;nowhere&#39;"):
        assert words in reply.text
    assert store.count(PLATE) == 1


def test_a_new_plate_may_be_empty(client: TestClient) -> None:
    reply = client.post("/plates/new", data={"title": "", "dish": ["", ""]})
    assert reply.status_code == 200
    assert "No dish is on this plate yet." in reply.text


def test_two_dishes_of_one_title_are_told_apart(client: TestClient, store: Store) -> None:
    name = store.create(DISH, "salmon", store.head(DISH, "salmon").text, "test").name
    page = client.get("/plates/supper").text
    assert f"({name})&#34;" in page or f"({name})" in page
    title = store.get(DISH, name).title
    asked = client.post("/plates/supper", data=fields(add=title, adds="yes"), headers=HTMX)
    assert 'name="choose"' in asked.text
    client.post("/plates/supper", data=fields(1, add=f"{title} ({name})"))
    assert rows(store)[-1][0] == name


def test_undo_takes_a_change_back(client: TestClient, store: Store) -> None:
    client.post("/plates/supper", data=fields(off="0"))
    assert len(rows(store)) == 3
    client.post("/plates/supper/undo")
    assert [name for name, _ in rows(store)] == list(SUPPER)
    client.post("/plates/supper/redo")
    assert len(rows(store)) == 3


# The form and its text


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        ("1 serving", ("1", "serving")),
        ("1/2 servings", ("1/2", "serving")),
        ("half", ("half", "serving")),
        ("120 g", ("120", "g")),
        ("2 level tablespoons", ("2", "tbsp")),
        ("2 fritters", ("2", "fritters")),
        ("plenty serving", ("plenty", "serving")),
        ("", ("", "")),
    ],
)
def test_a_portion_falls_into_number_and_unit(words: str, parts: tuple[str, str]) -> None:
    assert portion_of(words) == parts


WORDS = st.text(max_size=20)
SHEETS = st.builds(
    PlateSheet,
    WORDS,
    st.lists(st.builds(Row, WORDS.filter(str.strip), WORDS, st.sampled_from(sorted(UNITS)))).map(tuple),
    WORDS,
)


@given(SHEETS)
@settings(max_examples=300)
def test_a_form_read_back_is_the_same_form(sheet: PlateSheet) -> None:
    once = plate_sheet(plate_text(sheet))
    assert plate_sheet(plate_text(once)) == once
    assert len(once.rows) == len(sheet.rows)


@given(st.text(max_size=60))
def test_any_text_is_a_form_or_is_refused_in_words(text: str) -> None:
    with suppress(InputError):
        plate_sheet(text)


def test_dishes_are_stacked_and_what_fits_is_told(client: TestClient) -> None:
    page = client.get("/plates/supper").text
    assert 'id="stack-dish3"' in page  # the pattern of the fourth dish in the picture
    assert "To shrink" in page
    assert "style=" not in page
    assert len(IDS.findall(page)) == len(set(IDS.findall(page)))


def test_portions_by_spoon_and_weight_are_judged(client: TestClient, store: Store) -> None:
    form = fields(number=["120", "3", "1", "1/2"], unit=["g", "tbsp", "cup", "serving"])
    reply = client.post("/plates/supper", data=form, headers=HTMX)
    assert "Not judged yet" not in reply.text
    assert [words for _, words in rows(store)] == ["120 g", "3 tbsp", "1 cup", "1/2 serving"]
