from __future__ import annotations

import time
from itertools import permutations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lowsimmer.store.differ import differences, runs
from lowsimmer.store.merge import merge

TEXTS = st.lists(st.sampled_from(["a", "b", "c", "d", "e", ""]), max_size=8).map("\n".join)
SIDES = st.lists(st.sampled_from(["a", "b", "c", "d", "e", "", "v", "w", "x", "y", "z"]), max_size=8).map("\n".join)
HUGE = {
    "blank": "\n" * 300_000,
    "alike": "a\n\n" * 100_000,
    "numbers": "\n".join(map(str, range(90_000))),
}


def lines(text: str) -> list[str]:
    """The lines of a text."""
    return text.split("\n")


@given(TEXTS, SIDES)
@example("", "a")
@example("a\n", "")
def test_a_change_on_one_side_only_is_taken(base: str, other: str) -> None:
    assert merge(base, base, other).text == other
    assert merge(base, other, base).text == other
    assert merge(base, other, other).text == other
    assert (
        merge(base, base, other).doubled == merge(base, other, base).doubled == merge(base, other, other).doubled == ()
    )


@given(TEXTS, SIDES, SIDES)
def test_every_line_that_anybody_added_is_there(base: str, theirs: str, mine: str) -> None:
    found = lines(merge(base, theirs, mine).text)
    assert ({*lines(theirs), *lines(mine)} - set(lines(base))) <= set(found)


@given(TEXTS, SIDES, SIDES)
def test_who_comes_first_changes_only_the_order(base: str, theirs: str, mine: str) -> None:
    assert sorted(lines(merge(base, theirs, mine).text)) == sorted(lines(merge(base, mine, theirs).text))


@given(TEXTS, SIDES, SIDES)
def test_nothing_is_made_up(base: str, theirs: str, mine: str) -> None:
    assert set(lines(merge(base, theirs, mine).text)) <= {*lines(base), *lines(theirs), *lines(mine)}


@given(TEXTS, SIDES, SIDES)
def test_putting_mine_in_again_adds_nothing(base: str, theirs: str, mine: str) -> None:
    """A window goes on from what it had sent while the text holds both: its next change adds that change only."""
    both = merge(base, theirs, mine).text
    assert merge(mine, both, mine).text == both


@pytest.mark.parametrize(
    ("theirs", "mine", "both", "doubled"),
    [
        ("a\nB\nc", "A\nb\nc", "A\nB\nc", ()),  # neighbours
        ("a\nb\nc\nd", "a\nb\nC", "a\nb\nC\nd", ()),  # one adds behind a line that the other rewords
        ("z\na\nb\nc", "A\nb\nc", "z\nA\nb\nc", ()),  # and before it
        ("a\nc", "a\nb\nc\nd", "a\nc\nd", ()),  # one takes out, one adds
        ("a\nB\nc", "a\nbb\nc", "a\nB\nbb\nc", ("bb",)),  # both reword one line
        ("a\nc", "a\nbb\nc", "a\nbb\nc", ("bb",)),  # reworded here, taken out there
        ("a\nB\nc", "a\nc", "a\nB\nc", ("B",)),
        ("a\nb\nc\nx\ny", "a\nb\nc\nx\nz", "a\nb\nc\nx\ny\nx\nz", ("x", "z")),  # what each adds stays whole
        ("a\nb\nc\nx", "a\nb\nc\nx\nz", "a\nb\nc\nx\nz", ()),  # the same line added by both, once
        ("", "a\nb\nC", "a\nb\nC", ("a", "b", "C")),  # all taken out there
    ],
)
def test_what_becomes_of_two_changes(theirs: str, mine: str, both: str, doubled: tuple[str, ...]) -> None:
    found = merge("a\nb\nc", theirs, mine)
    assert (found.text.strip("\n"), found.doubled) == (both, doubled)


def test_a_line_typed_on_letter_by_letter_is_not_doubled_again() -> None:
    base, theirs, head = "rice\n2 plums\noil", "rice\n3 plums\noil", ""
    for typed in ("4 plums", "4 plums,", "4 plums, s", "4 plums, stoned"):
        mine = f"rice\n{typed}\noil"
        head, base = merge(base, head or theirs, mine).text, mine
    assert head == "rice\n3 plums\n4 plums, stoned\noil"


def test_entries_of_several_lines_stay_whole() -> None:
    one, two, three = (f"- file: {name}.md\n  portion: 1\n" for name in ("rice", "stew", "soup"))
    plate = f"title: Supper\nnotes: none\ndishes:\n{one}{two}"
    without = plate.replace("notes: none\n", "")
    assert merge(plate, without + three, without + two).text == without + three + two
    assert merge(plate, plate + three, plate.replace(one, "")).text == plate.replace(one, "") + three


@pytest.mark.parametrize("texts", [*permutations(HUGE)], ids=str)
def test_a_huge_text_is_merged_in_a_moment(texts: tuple[str, ...]) -> None:
    texts = tuple(HUGE[each] for each in texts)
    start = time.process_time()
    found = set(lines(merge(*texts).text))
    assert time.process_time() - start < 5
    assert (set(lines(texts[1])) | set(lines(texts[2]))) - set(lines(texts[0])) <= found


def test_differences_are_told_line_by_line() -> None:
    found = differences("rice\n2 plums\nsalt", "rice\n3 plums\nsalt\noil")
    assert [each.words for each in found] == ["Changed: '2 plums' to '3 plums'", "Added: 'oil'"]
    assert [each.words for each in differences("rice\n\nsalt", "rice ")] == ["Removed: 'salt'"]


@given(TEXTS, SIDES)
def test_between_the_runs_nothing_differs(old: str, new: str) -> None:
    before, after, made, at = lines(old), lines(new), list[str](), 0
    for a, b, c, d in runs(before, after):
        assert before[a:b] != after[c:d]
        made += [*before[at:a], *after[c:d]]
        at = b
    assert made + before[at:] == after
