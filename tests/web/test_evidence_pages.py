"""The why view, foods, sources and own figures: every figure leads to its source and back, by links alone."""

from __future__ import annotations

import re
from html import unescape

import pytest
from starlette.testclient import TestClient

from lowsimmer.domain.groups import Group
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.own import COLUMNS, read_own
from lowsimmer.store.records import DocumentKind, Edit, NotKept
from lowsimmer.store.store import Store
from lowsimmer.web.kitchen import FIGURES
from lowsimmer.web.ownfigures import COLUMN_WORDS, example, template_text
from lowsimmer.web.pages.trail import checked_back

LENTILS = "food,form,analyte,value,source,low,high,n\nlentil-green,canned-rinsed,gos,0.1,our <b>lab</b>,0.08,0.12,3\n"
HOSTILE = "<script>alert(1)</script>"
KIND = DocumentKind.FIGURES


def page(client: TestClient, address: str) -> str:
    """The text of a page that must be there."""
    answer = client.get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    text: str = answer.text
    return text


def links(text: str) -> list[str]:
    return [unescape(each) for each in re.findall(r'href="([^"]+)"', text)]


def link(text: str, part: str) -> str:
    """The first link that holds a part."""
    return next(each for each in links(text) if part in each)


def refused(client: TestClient, text: str) -> str:
    """The page after figures that cannot be used."""
    answer = client.post("/figures", data={"text": text})
    assert answer.status_code == 400
    told: str = answer.text
    return told


def use(client: TestClient, text: str, base: int = 0) -> None:
    answer = client.post("/figures/use", data={"text": text, "base": str(base)}, follow_redirects=False)
    assert answer.status_code == 303


def kept(store: Store) -> str:
    return store.head(KIND, FIGURES).text


# From a figure to its source and back


@pytest.mark.parametrize("start", ["/dishes/lentils", "/plates/supper"])
def test_a_figure_is_followed_to_its_source_and_back_by_links(client: TestClient, start: str) -> None:
    why = link(page(client, start), "/why/gos")
    there = page(client, why)
    source = link(there, "/sources/johnson2013")
    at_source = page(client, source)
    assert "Johnson" in at_source
    assert "lentil" in at_source
    back = link(at_source, "/why/gos")
    assert back.split("#")[0] == why
    place = back.split("#")[1]
    assert f'id="{place}"' in page(client, back)
    home = link(page(client, back), f"{start}?phase=")
    assert 'id="judged"' in page(client, home)
    assert home.endswith("#judged")


def test_the_way_back_goes_through_the_food(client: TestClient) -> None:
    food = link(page(client, "/dishes/lentils/why/gos"), "/foods/lentil-green/canned-rinsed")
    assert food.endswith("#gos")
    at_food = page(client, food)
    assert any(each.startswith("/dishes/lentils/why/gos") for each in links(at_food))
    at_source = page(client, link(at_food, "/sources/johnson2013"))
    again = link(at_source, "/foods/lentil-green/canned-rinsed?")
    assert any(each.startswith("/dishes/lentils/why/gos") for each in links(page(client, again)))


def test_every_link_of_the_evidence_pages_leads_somewhere(client: TestClient) -> None:
    starts = ("/dishes/lentils/why/total", "/plates/supper/why/fructan?phase=maintenance", "/foods/garlic/raw")
    found = {each.split("#")[0] for start in starts for each in links(page(client, start))}
    dead = [each for each in sorted(found) if each.startswith("/") and client.get(each).status_code != 200]
    assert dead == []


def test_every_place_that_is_linked_within_a_page_is_there(client: TestClient) -> None:
    for address in ("/dishes/lentils/why/total", "/foods/garlic/raw", "/figures"):
        text = page(client, address)
        assert [each for each in links(text) if each.startswith("#") and f'id="{each[1:]}"' not in text] == []


@pytest.mark.parametrize(
    "given",
    [
        "https://example.org/",
        "//example.org/dishes/a/why/gos",
        "/dishes/a/why/gos?phase=<b>",
        "/dishes/../why/gos",
        "/dishes/a/why/nothing",
        "/foods/no/such",
        "javascript:alert(1)",
        "/dishes/a/why/gos#<script>",
        "/" * 700,
        "/\\example.org",
    ],
)
def test_a_way_back_that_is_not_ours_is_left_out(client: TestClient, given: str) -> None:
    found = checked_back(given)
    assert found is None or found.address == "/dishes/a/why/gos"
    text = client.get("/sources/johnson2013", params={"back": given}).text
    assert "example.org" not in text
    assert "<b>" not in text


# The why view


def test_why_says_what_the_reader_asks(client: TestClient) -> None:
    text = page(client, "/dishes/lentils/why/gos")
    for words in ("too close to call", "limit", "common practice, no source", "1 x 400 g can brown", "0.6 drained",
                  "1 part in 4 is eaten", "read in the source", "recalled, not re-read", "set aside, with the reason",
                  "soaked before drying", "Adds nothing", "<svg", "</figure>"):  # fmt: skip
        assert words in text, words


def test_unknown_is_said_as_unknown(client: TestClient) -> None:
    text = page(client, "/dishes/lentils/why/gos")
    pepper = text[text.index('id="line-3"') :]
    assert "black pepper" in pepper
    assert 'It adds <strong class="figure">unknown</strong>' in pepper
    assert "unknown, at the most" in pepper
    assert "it is not counted as zero" in text


def test_a_line_without_a_food_is_not_guessed(client: TestClient, store: Store) -> None:
    text = "---\ntitle: A\nserves: 2\n---\n\n## Ingredients\n\n- 100 g frobnicated wumpus\n\n## Method\n\nCook.\n"
    name = store.create(DocumentKind.DISH, "a", text, "test").name
    found = page(client, f"/dishes/{name}/why/gos")
    assert "no food of the catalogue" in found
    assert "nothing near was put in its place" in found
    assert '<strong class="figure">unknown</strong> in one serving' in found


def test_servings_are_carried_along(client: TestClient) -> None:
    text = page(client, "/dishes/lentils/why/gos?servings=2")
    assert "in 2 servings" in text
    assert "servings=2" in link(text, "/dishes/lentils?")
    assert "in one serving" in page(client, "/dishes/lentils/why/gos?servings=nan")


@pytest.mark.parametrize("address", ["/dishes/lentils/why/nothing", "/dishes/lentils/why/gos?phase=none"])
def test_words_that_name_nothing_are_refused_calmly(client: TestClient, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 400
    assert "Use one of" in answer.text


@pytest.mark.parametrize("address", ["/dishes/none/why/gos", "/plates/none/why/gos", "/foods/no/such", "/sources/none"])
def test_what_is_not_there_is_said_so(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_hostile_words_are_escaped(client: TestClient, store: Store) -> None:
    lines = f"## Ingredients\n\n- 100 g onion {HOSTILE}\n\n## Method\n\n{HOSTILE}\n"
    text = f"---\ntitle: '{HOSTILE}'\nserves: 2\n---\n\n{lines}"
    name = store.create(DocumentKind.DISH, "a", text, "test").name
    addresses = [
        f"/dishes/{name}/why/fructan",
        f"/foods?words={HOSTILE}",
        f"/foods/{HOSTILE}/{HOSTILE}",
        f"/sources?words={HOSTILE}",
        f"/sources/afcd2?words={HOSTILE}",
        f"/dishes/lentils/why/{HOSTILE}",
    ]
    for address in addresses:
        assert HOSTILE not in client.get(address).text, address
    assert HOSTILE not in refused(client, f"food,form,analyte,value,source\n{HOSTILE},raw,fructan,1,x\n")
    assert HOSTILE not in refused(client, HOSTILE)


# Foods


def test_foods_are_found_with_a_word_of_evidence_for_every_group(client: TestClient) -> None:
    text = page(client, "/foods?words=leek")
    row = re.search(r"<tr><th scope=\"row\"><a [^>]+>Leek, dark green leaves only, raw</a></th>(.*?)</tr>", text)
    assert row is not None
    words = re.findall(r"<td>(.*?)</td>", row[1])
    assert len(words) == len(Group)
    assert words[0] == "<strong>unknown</strong>"


def test_typing_gets_the_results_alone_and_going_back_the_whole_page(client: TestClient) -> None:
    live = client.get("/foods?words=leek", headers={"HX-Request": "true"}).text
    assert "<html" not in live
    assert "Leek" in live
    again = client.get("/foods?words=leek", headers={"HX-Request": "true", "HX-History-Restore-Request": "true"}).text
    assert "<html" in again


def test_a_word_that_is_nearly_a_name_leads_on(client: TestClient) -> None:
    text = page(client, "/foods?words=chickpoa")
    assert "Nothing in the catalogue is called" in text
    assert "Chickpea" in page(client, link(text, "/foods?words=chickpea"))


def test_a_food_tells_all_that_is_known(client: TestClient) -> None:
    text = page(client, "/foods/garlic/raw")
    for words in ("read in the source; 3 of 5 figures recalled, not re-read", "purple garlic", "class produce",
                  "common practice, no source", "median of 5 sources", "repeats the range of vanloo1995"):  # fmt: skip
        assert words in text, words
    assert "garlick" not in text
    for group in Group:
        assert f'id="{group.value}"' in text
    assert "Garlic in oil can grow botulism" in page(client, "/foods/oil-garlic-infused/infused-oil")


def test_every_food_has_a_page(client: TestClient) -> None:
    addresses = [f"/foods/{key.food}/{key.form}" for key in list(foods())[::60]]
    wrong = [each for each in addresses if client.get(each).status_code != 200]
    assert wrong == []


# Sources


def test_sources_are_listed_and_searched(client: TestClient) -> None:
    text = page(client, "/sources")
    assert len(re.findall(r'<a href="/sources/[^"?]+">', text)) > 200
    some = page(client, "/sources?words=biesiekierski")
    assert "1 source with" in some
    assert "limits: " in page(client, "/sources/varney2017")


def test_a_long_source_is_leafed_through(client: TestClient) -> None:
    first = page(client, "/sources/afcd2")
    second = page(client, link(first, "start=100"))
    assert "101 to 200 of 813" in second
    assert "start=0" in link(second, "start=0")
    assert "8 of 813 figures" in page(client, "/sources/afcd2?words=leek")


# Own figures


def test_own_figures_are_looked_at_first_and_used_then(client: TestClient, store: Store) -> None:
    before = page(client, "/dishes/lentils/why/gos")
    seen = client.post("/figures", data={"text": LENTILS}).text
    assert "Nothing is used yet" in seen
    assert "Warm lentils with beetroot" in seen
    assert "GOS: now 0.45 (0.13 to 1.09) g, too close to call; then" in seen
    assert "<b>" not in seen
    with pytest.raises(NotKept):
        store.head(KIND, FIGURES)
    use(client, LENTILS)
    assert kept(store) == LENTILS
    after = page(client, "/dishes/lentils/why/gos")
    assert after != before
    assert "own figure" in after
    assert "<b>lab" not in after
    assert "Green or brown lentils" in page(client, link(after, "/figures#in-use"))
    assert "<td>own</td>" in page(client, "/foods?words=green lentil")


def test_a_file_is_looked_at_as_a_text_is(client: TestClient) -> None:
    seen = client.post(
        "/figures", data={"text": ""}, files={"file": ("mine.csv", b"\xef\xbb\xbf" + LENTILS.encode(), "text/csv")}
    )
    assert seen.status_code == 200
    assert "What 1 figure would change" in seen.text
    odd = client.post("/figures", data={"text": LENTILS}, files={"file": ("mine.xls", b"\xd0\xcf\x11\xe0\x00", "x/y")})
    assert odd.status_code == 400
    assert "lentil-green" in odd.text


def test_every_broken_row_is_told_and_nothing_is_lost(client: TestClient, store: Store) -> None:
    text = "food,form,analyte,value,source\nlek,raw,fructan,6,x\ngarlic,raw,fructan,abc,y\nonion-brown,raw,fructan,3,\n"
    told = unescape(refused(client, text))
    for words in (
        "3 rows cannot",
        "Line 2, column food",
        "near: leek",
        "Line 3, column value",
        "Line 4, column source",
    ):
        assert words in told, words
    assert text in told
    with pytest.raises(NotKept):
        store.head(KIND, FIGURES)
    answer = client.post("/figures/use", data={"text": text, "base": "0"})
    assert answer.status_code == 400
    with pytest.raises(NotKept):
        store.head(KIND, FIGURES)


def test_figures_of_another_window_are_not_overrun(client: TestClient, store: Store) -> None:
    use(client, LENTILS)
    mine = LENTILS.replace("0.1,", "0.11,")
    answer = client.post("/figures/use", data={"text": mine, "base": "0"})
    assert "Another window changed" in answer.text
    assert "0.11" in answer.text
    assert kept(store) == LENTILS
    use(client, mine, base=1)
    assert kept(store) == mine


def test_taken_out_of_use_they_stay_in_the_history(client: TestClient, store: Store) -> None:
    use(client, LENTILS)
    before = page(client, "/dishes/lentils/why/gos")
    assert client.post("/figures/out", follow_redirects=False).status_code == 303
    assert kept(store) == ""
    assert page(client, "/dishes/lentils/why/gos") != before
    text = page(client, "/figures")
    assert "the catalogue alone counts" in text
    assert "canned-rinsed,gos,0.1" in page(client, link(text, "version=1"))
    assert "now 0.45" in client.post("/figures", data={"text": LENTILS}).text


def test_a_change_is_shown_against_what_is_in_use(client: TestClient) -> None:
    use(client, LENTILS)
    other = "food,form,analyte,value,source\ngarlic,raw,fructan,9,x\n"
    seen = client.post("/figures", data={"text": other}).text
    assert "your figure goes out of use" in seen
    assert "as now" in client.post("/figures", data={"text": LENTILS}).text


def test_figures_that_came_broken_by_another_way_can_be_mended(client: TestClient, store: Store) -> None:
    use(client, LENTILS)
    store.edit(Edit(KIND, FIGURES, 1, "food,form\nx,y\n", "test"))
    text = page(client, "/figures")
    assert "These figures cannot be read" in text
    use(client, LENTILS, base=2)
    assert "1 figure" in page(client, "/figures")


def test_downloads(client: TestClient) -> None:
    use(client, LENTILS)
    answer = client.get("/figures/own-figures.csv")
    assert answer.text == LENTILS
    assert "attachment" in answer.headers["content-disposition"]
    assert client.get("/figures/template.csv").text == template_text()


def test_the_template_explains_every_column_and_its_example_can_be_used() -> None:
    assert tuple(name for name, _, _ in COLUMN_WORDS) == COLUMNS
    figures = read_own(template_text().replace(f"# {example()}", example()), "template")
    assert len(figures.rows) == 1


# Form of the pages


@pytest.mark.parametrize(
    "address",
    ["/dishes/lentils/why/total", "/plates/supper/why/gos", "/foods", "/foods?words=leek", "/foods/garlic/raw",
     "/sources", "/sources/afcd2", "/figures"],
)  # fmt: skip
def test_pages_are_plain_and_labelled(client: TestClient, address: str) -> None:
    text = page(client, address)
    assert text.count("<h1") == 1
    assert text.count("<table") == text.count("<caption")
    assert re.findall(r"<th(?! scope)[ >]", text) == []
    assert re.findall(r"<script(?! src)", text) == []
    assert re.findall(r"\son\w+=|\sstyle=", text) == []
    ids = re.findall(r'\sid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
