from __future__ import annotations

import pytest
from sqlalchemy import text as sql

from lowsimmer.domain.errors import InputError, RecordError
from lowsimmer.store.records import DocumentKind, Edit, NotKept
from lowsimmer.store.store import Store

DISH, PLATE, FIGURES = DocumentKind.DISH, DocumentKind.PLATE, DocumentKind.FIGURES
TEXT = "---\ntitle: Plum rice\nserves: 2\n---\n## Ingredients\n100 g rice\n2 plums\n1 tbsp oil"


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


@pytest.mark.parametrize(
    ("kind", "text", "title"),
    [
        (DISH, "---\ntitle: Plum rice\n---\n", "Plum rice"),
        (DISH, "---\r\ntitle: 'Cook''s rice'\r\n---\r\n", "Cook's rice"),
        (DISH, '---\ntitle: "Plum \\"rice\\""\nserves: 2', 'Plum "rice"'),
        (DISH, "---\nserves: 2\n---\ntitle: not here", "Lunch"),
        (DISH, "no front matter", "Lunch"),
        (DISH, f"---\ntitle: {'long ' * 100}\n---\n", ("long " * 100)[:200]),
        (PLATE, "# a remark\ntitle: Friday supper # for four\ndishes: []", "Friday supper"),
        (PLATE, "title: 'Friday''s'\ndishes:\n  - title: other", "Friday's"),
        (PLATE, "title: [half typed", "[half typed"),
        (PLATE, "title: 12\n", "12"),
        (PLATE, "dishes: []\n", "Lunch"),
    ],
)
def test_the_title_is_that_of_the_text(store: Store, kind: DocumentKind, text: str, title: str) -> None:
    made = store.create(kind, "Lunch", text, "one")
    assert store.get(kind, made.name).title == title


def test_a_text_that_loses_its_title_keeps_the_old_one(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    edited(store, "---\ntitle:\n---\n")
    assert store.get(DISH, "plum-rice").title == "Plum rice"
    edited(store, "---\ntitle: Rice with plums\n---\n")
    assert store.get(DISH, "plum-rice").title == "Rice with plums"
    store.undo(DISH, "plum-rice", "one")
    assert store.get(DISH, "plum-rice").title == "Plum rice"


def test_own_figures_there_are_once(store: Store) -> None:
    first = store.create(FIGURES, "whatever", "a", "one", "pasted")
    store.remove(FIGURES, first.name, "one")
    again = store.create(FIGURES, "another name", "b", "two", "pasted")
    assert (first.name, again.name, again.number) == ("own-figures", "own-figures", 2)
    assert [each.name for each in store.list(FIGURES)] == ["own-figures"]
    assert store.version(FIGURES, "own-figures", 1).text == "a"


def test_the_text_as_it_is_makes_no_version(store: Store) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    assert edited(store, TEXT) == 1
    edited(store, TEXT + "!", "two")
    # Sent again by a window that has not seen the others' change: nothing of theirs is taken back.
    saved = store.edit(Edit(DISH, "plum-rice", 1, TEXT, "one"))
    assert (saved.version.number, saved.mine, saved.merged) == (2, 1, True)
    assert saved.version.text == TEXT + "!"


def test_a_change_sent_twice_is_there_once(store: Store) -> None:
    """A window that heard no answer sends again, while another one wrote."""
    store.create(DISH, "Plum rice", TEXT, "one")
    mine = Edit(DISH, "plum-rice", 1, f"{TEXT}\n1 pear", "one")
    store.edit(mine)
    edited(store, f"{TEXT}\n1 pear".replace("2 plums", "3 plums"), "two")
    saved = store.edit(mine)
    assert saved.version.text == f"{TEXT}\n1 pear".replace("2 plums", "3 plums")
    assert saved.doubled == ()


def test_search_does_not_mind_capitals_in_any_script(store: Store) -> None:
    store.create(DISH, "Żurek", "---\ntitle: Żurek\n---\nrye ŚMIETANA", "one")
    assert [store.count(DISH, words) for words in ("żUREK", "śmietana", "zurek")] == [1, 1, 0]


def test_lists_come_in_pieces_the_newest_change_first(store: Store) -> None:
    for number in range(5):
        store.create(DISH, f"Dish {number}", "a", "one")
    store.edit(Edit(DISH, "dish-2", 1, "b", "one"))
    assert [each.name for each in store.list(DISH, count=3)] == ["dish-2", "dish-4", "dish-3"]
    assert [each.name for each in store.list(DISH, start=3)] == ["dish-1", "dish-0"]
    assert store.count(DISH) == 5


@pytest.mark.parametrize("odd", ["a\x00b", "a\ud800b"])
def test_what_is_no_text_is_refused_and_found_nowhere(store: Store, odd: str) -> None:
    store.create(DISH, f"Plum{odd} rice", "2 plums", "one")
    with pytest.raises(InputError, match="no text"):
        store.create(DISH, "Stew", odd, "one")
    with pytest.raises(RecordError):
        Edit(DISH, "stew", 1, "text", odd)
    for look in (store.get, store.head, store.history, store.steps):
        with pytest.raises(NotKept):
            look(DISH, odd)
    with pytest.raises(NotKept):
        store.version(DISH, odd, 1)
    assert (store.count(DISH, odd), list(store.list(DISH, odd))) == (0, [])


@pytest.mark.parametrize("number", [-1, 0, 2, 2**31, 2**70])
def test_a_version_that_is_not_there_is_said(store: Store, number: int) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    with pytest.raises(NotKept, match=f"no version {number}"):
        store.version(DISH, "plum-rice", number)
    with pytest.raises(NotKept):
        store.edit(Edit(DISH, "plum-rice", number, "text", "one"))


def test_a_writer_is_called_by_something_short() -> None:
    with pytest.raises(RecordError):
        Edit(DISH, "stew", 1, "text", "w" * 41)


@pytest.mark.parametrize(
    ("harm", "words"),
    [
        ("UPDATE document SET head = 7", "should have versions 1 to 7: it has 3, the newest is 3"),
        ("DELETE FROM version WHERE number = 2", "should have versions 1 to 3: it has 2"),
        ("UPDATE version SET base = 3 WHERE number = 2", "version 2 does not come from an earlier one"),
        ("UPDATE version SET restores = 3 WHERE number = 3", "version 3 does not come from an earlier one"),
    ],
)
def test_harm_is_found(store: Store, harm: str, words: str) -> None:
    store.create(DISH, "Plum rice", TEXT, "one")
    edited(store, "b")
    edited(store, "c")
    assert store.check() == []
    with store.writing() as connection:
        connection.execute(sql(harm))
    assert [words in each for each in store.check()] == [True]
