from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lowsimmer.store.differ import differences
from lowsimmer.store.merge import merge
from lowsimmer.store.records import DocumentKind, Edit, NotKept
from lowsimmer.store.store import Store

DISH = DocumentKind.DISH
TEXT = "---\ntitle: Plum rice\nserves: 2\n---\n## Ingredients\n100 g rice\n2 plums\n1 tbsp oil"
TEXTS = st.lists(st.sampled_from("abcde"), max_size=6).map("\n".join)


def edited(store: Store, text: str, writer: str = "one", base: int | None = None) -> int:
    """The number of the version that an edit made."""
    start = store.get(DISH, "plum-rice").head if base is None else base
    return store.edit(Edit(DISH, "plum-rice", start, text, writer)).version.number


def test_what_is_written_comes_back(store: Store) -> None:
    made = store.create(DISH, "Plum rice", TEXT, "one")
    assert (made.name, made.number) == ("plum-rice", 1)
    assert store.head(DISH, "plum-rice").text == TEXT
    assert store.get(DISH, "plum-rice").title == "Plum rice"
    assert store.check() == []


def test_a_taken_name_gets_a_number(store: Store) -> None:
    assert [store.create(DISH, "Plum rice", TEXT, "one").name for _ in range(3)] == [
        "plum-rice", "plum-rice-2", "plum-rice-3",
    ]  # fmt: skip


def test_two_windows_on_one_dish_lose_nothing(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    edited(store, TEXT.replace("2 plums", "3 plums"), "one", base=1)
    saved = store.edit(Edit(DISH, "plum-rice", 1, TEXT.replace("1 tbsp oil", "2 tbsp oil"), "two"))
    assert saved.merged
    assert saved.doubled == ()
    assert "3 plums" in saved.version.text
    assert "2 tbsp oil" in saved.version.text
    assert store.version(DISH, "plum-rice", saved.mine).text == TEXT.replace("1 tbsp oil", "2 tbsp oil")


def test_where_both_changed_one_line_both_are_kept(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    edited(store, TEXT.replace("2 plums", "3 plums"), "one", base=1)
    saved = store.edit(Edit(DISH, "plum-rice", 1, TEXT.replace("2 plums", "4 plums"), "two"))
    assert saved.doubled == ("4 plums",)
    assert saved.version.text.index("3 plums") < saved.version.text.index("4 plums")


def test_undo_walks_back_to_the_first_text_and_redo_forward_again(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    for number, writer in ((1, "one"), (2, "two"), (3, "three")):
        edited(store, f"{TEXT}\n{number} pears", writer)
    last = store.head(DISH, "plum-rice").text
    walked = [version.text for _ in range(3) if (version := store.undo(DISH, "plum-rice", "one"))]
    assert walked == [f"{TEXT}\n2 pears", f"{TEXT}\n1 pears", TEXT]
    assert store.undo(DISH, "plum-rice", "one") is None
    for _ in range(3):
        store.redo(DISH, "plum-rice", "one")
    assert store.head(DISH, "plum-rice").text == last
    assert store.redo(DISH, "plum-rice", "one") is None


def test_typing_within_a_minute_is_one_step(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    for words in ("1", "1 p", "1 pear"):
        edited(store, f"{TEXT}\n{words}")
    assert [step.last.number for step in store.steps(DISH, "plum-rice")] == [4, 1]
    undone = store.undo(DISH, "plum-rice", "one")
    assert undone is not None
    assert undone.text == TEXT


def test_a_removed_dish_is_kept_and_can_be_put_back(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    store.remove(DISH, "plum-rice", "one")
    assert store.list(DISH) == []
    assert [each.name for each in store.list(DISH, removed=True)] == ["plum-rice"]
    store.put_back(DISH, "plum-rice", "one")
    assert store.head(DISH, "plum-rice").text == TEXT


def test_search_needs_every_word_in_title_or_text(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    assert store.count(DISH, "PLUM oil") == 1
    assert store.count(DISH, "plum dill") == 0
    assert store.count(DISH, "%") == 0


def test_what_is_not_kept_is_said(store: Store) -> None:
    with pytest.raises(NotKept, match="no dish called 'stew'"):
        store.head(DISH, "stew")


def test_settings_are_kept(store: Store) -> None:
    assert store.setting("started") is None
    store.set_setting("started", "empty")
    store.set_setting("started", "demo")
    assert store.setting("started") == "demo"


@given(TEXTS, TEXTS)
def test_a_change_on_one_side_only_is_taken(base: str, other: str) -> None:
    assert merge(base, base, other).text == other
    assert merge(base, other, base).text == other
    assert merge(base, other, other).text == other


@given(TEXTS, st.lists(st.sampled_from("vwxyz"), max_size=4), st.lists(st.sampled_from("VWXYZ"), max_size=4))
def test_every_line_that_anybody_added_is_there(base: str, theirs: list[str], mine: list[str]) -> None:
    found = merge(base, "\n".join([*theirs, base]), "\n".join([base, *mine])).text.split("\n")
    assert all(line in found for line in (*theirs, *mine))


def test_differences_are_told_line_by_line() -> None:
    found = differences("rice\n2 plums\nsalt", "rice\n3 plums\nsalt\noil")
    assert [each.words for each in found] == ["Changed: '2 plums' to '3 plums'", "Added: 'oil'"]
