"""Many writers at once: every acknowledged text is kept, and every added line is in the newest text."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from lowsimmer.store.records import DocumentKind, Edit, Saved
from lowsimmer.store.store import Store

DISH = DocumentKind.DISH
WRITERS, EDITS = 4, 12


def _window(store: Store, number: int) -> list[tuple[str, Saved]]:
    """What one browser tab does that never looks at what the others write: it goes on from its own text."""
    base, text, made = 1, "rice", list[tuple[str, Saved]]()
    for step in range(EDITS):
        text += f"\nwindow {number}, line {step}"
        saved = store.edit(Edit(DISH, "stew", base, text, f"window{number}"))
        made.append((text, saved))
        base = saved.mine
    return made


def test_windows_that_write_at_once_lose_nothing(store: Store) -> None:
    store.create(DISH, "Stew", "rice", "one")
    with ThreadPoolExecutor(WRITERS) as pool:
        windows = list(pool.map(lambda number: _window(store, number), range(WRITERS)))
    kept = {each.number: each.text for each in store.history(DISH, "stew")}
    for text, saved in (each for window in windows for each in window):
        assert kept[saved.mine] == text
        assert kept[saved.version.number] == saved.version.text
    newest = store.head(DISH, "stew").text.split("\n")
    assert sorted(newest) == sorted(
        ["rice", *(f"window {number}, line {step}" for number in range(WRITERS) for step in range(EDITS))]
    )
    assert store.check() == []


def test_dishes_made_at_once_under_one_title_get_different_names(store: Store) -> None:
    with ThreadPoolExecutor(WRITERS) as pool:
        made = list(pool.map(lambda number: store.create(DISH, "Stew", f"{number}", "one"), range(20)))
    assert sorted(each.name for each in made) == sorted(["stew", *(f"stew-{number}" for number in range(2, 21))])
    assert {store.head(DISH, each.name).text for each in made} == {str(number) for number in range(20)}


def test_a_setting_written_at_once_is_one_of_them(store: Store) -> None:
    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(lambda number: store.set_setting("started", str(number)), range(20)))
    assert store.setting("started") in {str(number) for number in range(20)}
