"""Doubling a dish and its servings changes nothing per serving; splitting a line changes no sum and no range."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lowsimmer.domain.lines import Dish
from lowsimmer.loads.assess import Assessment
from tests.laws.helpers import assessed, differences
from tests.strategies import dishes, read, scaled_dish, scaled_line

FEW = settings(deadline=None, max_examples=40)


@FEW
@given(dishes(), st.floats(0.05, 40))
def test_scaling_lines_and_servings_together_changes_nothing_per_serving(dish: Dish, factor: float) -> None:
    before, after = assessed(dish), assessed(scaled_dish(dish, factor))
    assert differences(before, after, relative=1e-9) == {}


@FEW
@given(dishes(), st.floats(0.2, 20))
def test_scaling_lines_and_servings_together_changes_no_verdict_word(dish: Dish, factor: float) -> None:
    before, after = assessed(dish), assessed(scaled_dish(dish, factor))
    # A case that lies on a limit to the last bit may fall to either side.
    moved = {name: abs(load.below - after.loads[name].below) for name, load in before.loads.items()}
    assert max(moved.values()) <= 0.001
    assert before.verdict == after.verdict or any(moved.values())


def _split(dish: Dish, share: float, place: int) -> Dish:
    """The dish with one line given in two."""
    line = dish.lines[place]
    pieces = (scaled_line(line, share, "for the pan"), scaled_line(line, 1 - share, "for the bowl"))
    return replace(dish, lines=dish.lines[:place] + pieces + dish.lines[place + 1 :])


@FEW
@given(dishes(), st.floats(0.05, 0.95), st.data())
def test_splitting_a_line_changes_no_sum_and_no_range(dish: Dish, share: float, data: st.DataObject) -> None:
    split = _split(dish, share, data.draw(st.integers(0, len(dish.lines) - 1)))
    assert differences(assessed(dish), assessed(split), relative=1e-6, absolute=1e-9) == {}


def _limits(result: Assessment) -> dict[tuple[str, str], float]:
    return {(each.food, each.component): each.limit.grams for each in result.foods}


@FEW
@given(dishes(), st.floats(0.05, 0.95), st.data())
def test_splitting_a_line_changes_no_limit_and_no_largest_serving(
    dish: Dish, share: float, data: st.DataObject
) -> None:
    before = assessed(dish)
    after = assessed(_split(dish, share, data.draw(st.integers(0, len(dish.lines) - 1))))
    assert _limits(after) == _limits(before)
    assert after.largest.times == pytest.approx(before.largest.times, rel=1e-6)


@FEW
@given(dishes(least=2), st.randoms(use_true_random=False))
def test_the_order_of_the_lines_changes_no_sum(dish: Dish, chance: Random) -> None:
    shuffled = list(dish.lines)
    chance.shuffle(shuffled)
    assert differences(assessed(dish), assessed(replace(dish, lines=tuple(shuffled))), relative=1e-9) == {}


def test_one_bunch_over_three_bowls_as_text() -> None:
    whole = Dish("Whole", 4, (read("300 g brown onion"), read("200 g carrot")))
    texts = ("60 g brown onion", "110 g brown onion", "200 g carrot", "130 g brown onion")
    split = replace(whole, lines=tuple(map(read, texts)))
    assert differences(assessed(whole), assessed(split), relative=1e-9) == {}


def test_a_range_of_a_food_out_of_the_catalogue_is_one_fact_too() -> None:
    whole = Dish("Whole", 1, (read("90-210 g moonfruit jelly"),))
    split = replace(whole, lines=(read("30-70 g moonfruit jelly"), read("60-140 g moonfruit jelly, chilled")))
    assert differences(assessed(whole), assessed(split), relative=1e-6) == {}


def test_four_small_lines_of_a_fruit_have_the_limit_of_one_large_line() -> None:
    """Whether a fruit holds excess fructose alone is a matter of the fruit on the plate, not of each line."""
    whole, quarter = read("8 g mango"), read("2 g mango")
    before, after = (assessed(Dish("Mango", 1, lines)).largest for lines in ((whole,), (quarter,) * 4))
    assert after.times == pytest.approx(before.times, rel=1e-6)
