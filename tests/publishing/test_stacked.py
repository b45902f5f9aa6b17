"""Stacked bars, bars for a column and inline pictures: sound SVG, own ids, the ink of the page, words for all."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.loads.assess import Assessment, assess_plate
from lowsimmer.loads.draws import Draws
from lowsimmer.loads.stacks import stacks
from lowsimmer.publishing.bars import COMPONENTS, column_bars, share_words
from lowsimmer.publishing.figure import load_bars
from lowsimmer.publishing.forest import forest_picture
from lowsimmer.publishing.inline import in_ink, inline
from lowsimmer.publishing.stacked import PATTERNS, stack_words, stacked_bars
from tests.publishing.test_forest import CELL
from tests.strategies import read

SVG = "{http://www.w3.org/2000/svg}"
LINES = {
    'Milk <rice> & "co"': "150 g cow's milk",
    "Onion soup": "12 g brown onion",
    "Chickpeas with a long name that no piece could hold": "40 g canned chickpeas, drained",
    "Carrots": "60 g carrot",
}


def plate(lines: dict[str, str]) -> Assessment:
    """A dish a line, judged together with few draws."""
    portions = tuple(Portion(Dish(title, 1, (read(line),)), 1.0) for title, line in lines.items())
    return assess_plate(Plate("A <plate>", portions), draws=Draws(500))


RESULT = plate(LINES)
INLINE = {
    "stacked": stacked_bars(RESULT, "one"),
    "stacked, linked": stacked_bars(RESULT, "one", lambda each: f"/why/{each}?a=1&b=2"),
    "column": column_bars(RESULT, "one"),
    "column, linked": column_bars(RESULT, "one", lambda each: f"/why/{each}?a=1&b=2"),
    "loads": inline(load_bars(RESULT), "one"),
    "forest": inline(forest_picture(CELL), "one"),
}
many = pytest.mark.parametrize("picture", INLINE.values(), ids=INLINE.keys())


@many
def test_it_is_sound_and_says_what_it_is(picture: str) -> None:
    root = ElementTree.fromstring(picture)
    ids = {each.get("id"): each for each in root.iter() if each.get("id")}
    named = f"{root.get('aria-labelledby')} {root.get('aria-describedby') or ''}".split()
    assert all("".join(ids[each].itertext()).strip() for each in named)
    assert root.get("role") in {"img", "group"}


@many
def test_it_has_ids_of_its_own_and_refers_to_no_others(picture: str) -> None:
    ids = re.findall(r' id="([^"]+)"', picture)
    assert len(ids) == len(set(ids))
    assert all(each.startswith("one-") for each in ids)
    assert set(re.findall(r"url\(#([^)]+)\)", picture)) <= set(ids)


@many
def test_it_takes_the_ink_of_the_page(picture: str) -> None:
    tags = "".join(re.findall(r"<[^>]*>", picture))
    assert not re.search(r'"#[0-9a-f]{3,6}"', tags)
    assert " style=" not in tags
    assert "currentColor" in tags


def test_links_are_reachable_and_escaped() -> None:
    for name in ("stacked, linked", "column, linked"):
        root = ElementTree.fromstring(INLINE[name])
        assert root.get("role") == "group"
        assert [each.get("href") for each in root.iter(f"{SVG}a")] == [f"/why/{each}?a=1&b=2" for each in COMPONENTS]
    assert ElementTree.fromstring(INLINE["column"]).get("role") == "img"


def test_every_dish_has_its_pattern_and_its_name() -> None:
    root = ElementTree.fromstring(INLINE["stacked"])
    texts = ["".join(each.itertext()) for each in root.iter(f"{SVG}text")]
    assert set(LINES) <= set(texts)
    assert len(list(root.iter(f"{SVG}pattern"))) == len(LINES)
    tiles = [ElementTree.tostring(each).partition(b">")[2] for each in root.iter(f"{SVG}pattern")]
    assert len(set(tiles)) == len(LINES)


def test_patterns_repeat_when_they_run_out() -> None:
    assert PATTERNS >= 8
    picture = stacked_bars(plate({f"Dish {n}": f"{n + 1} g wheat flour" for n in range(PATTERNS + 2)}), "p")
    root = ElementTree.fromstring(picture)
    assert len(list(root.iter(f"{SVG}pattern"))) == PATTERNS
    assert set(re.findall(r"url\(#([^)]+)\)", picture)) == {f"p-dish{n}" for n in range(PATTERNS)}


def test_the_pieces_lie_end_to_end_up_to_the_middle_figure() -> None:
    root = ElementTree.fromstring(stacked_bars(plate({"Milk": "20 g cow's milk", "Yogurt": "10 g plain yogurt"}), "p"))
    pieces = [each.find(f"{SVG}rect") for each in root.iter(f"{SVG}g")]
    ends = [(float(each.get("x", "")), float(each.get("width", ""))) for each in pieces if each is not None][:2]
    assert ends[0][0] == 0
    assert ends[1][0] == pytest.approx(ends[0][1], abs=0.11)


def test_a_name_stands_clear_of_the_limit() -> None:
    root = ElementTree.fromstring(stacked_bars(plate({"Warm milk with rice": "45 g cow's milk"}), "p"))
    names = [each for group in root.iter(f"{SVG}g") for each in group.iter(f"{SVG}text")]
    assert names
    for each in names:
        half = len(each.text or "") * 6.4 / 2
        assert not float(each.get("x", "")) - half < 229 < float(each.get("x", "")) + half
        assert (each.text or "").split()[-1] != "with"


def test_the_words_of_a_stack() -> None:
    stack = next(each for each in stacks(RESULT) if each.component == "lactose")
    words = stack_words(stack)
    assert words.startswith("lactose ")
    assert stack.load.verdict.value in words
    assert "Milk <rice>" in words
    assert "Carrots" not in words
    strange = plate({"Jelly": "50 g moonfruit jelly"})
    assert stack_words(stacks(strange)[0]) == "fructan unknown, not enough data: Jelly unknown"
    assert "unknown" in stacked_bars(strange, "p")


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "nothing of the limit"), (0.004, "under 1 % of the limit"), (0.34, "34 % of the limit"),
     (1.5, "150 % of the limit"), (3.94, "3.9 times the limit")],
)  # fmt: skip
def test_shares_in_words(share: float, words: str) -> None:
    assert share_words(share) == words


def test_words_that_look_like_a_colour_stay() -> None:
    assert in_ink('<text fill="#222">fill="#222" id="title"</text>') == (
        '<text fill="currentColor">fill="#222" id="title"</text>'
    )
