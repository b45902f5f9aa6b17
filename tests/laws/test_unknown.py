"""Unknown never becomes zero: it is counted in grams, it is named, and it never betters a verdict."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lowsimmer.domain.foods import FoodKey
from lowsimmer.domain.groups import SUMS, Group
from lowsimmer.domain.limits import Verdict
from lowsimmer.domain.lines import Dish, Line
from lowsimmer.measuring.weigh import items_of
from lowsimmer.reference.composition import Composition, composition
from tests.laws.helpers import assessed
from tests.strategies import FOODS, STRANGE, dishes, read, weighed_lines

FEW = settings(deadline=None, max_examples=40)


@FEW
@given(weighed_lines())
def test_a_food_without_a_figure_counts_as_unknown_grams(line: Line) -> None:
    key = items_of(line)[0].key
    result = assessed(Dish("One food", 1, (line,)))
    for group in Group:
        load = result.loads[group.value]
        missing = key is None or composition(key)[group] is None
        assert (load.unknown_g > 0) == missing, group
        assert bool(load.unknown_foods) == missing, group


@FEW
@given(dishes())
def test_a_sum_is_unknown_where_one_of_its_groups_is(dish: Dish) -> None:
    loads = assessed(dish).loads
    for name, groups in SUMS.items():
        assert loads[name].unknown_g >= max(loads[group.value].unknown_g for group in groups) - 1e-9, name


@FEW
@given(dishes())
def test_a_food_out_of_the_catalogue_is_never_within_limit(dish: Dish) -> None:
    strange = read(f"200 g {STRANGE}")
    result = assessed(replace(dish, serves=1, lines=(*dish.lines, strange)))
    for group in Group:
        assert result.loads[group.value].verdict is not Verdict.WITHIN, group
    assert result.verdict is not Verdict.WITHIN


@FEW
@given(dishes())
def test_a_line_without_an_amount_is_never_within_limit(dish: Dish) -> None:
    result = assessed(replace(dish, lines=(*dish.lines, read("garlic"))))
    assert result.loads["fructan"].unknown_lines
    assert result.loads["fructan"].verdict is not Verdict.WITHIN
    assert result.verdict is not Verdict.WITHIN
    assert result.largest.times is None
    assert result.largest.reason


@FEW
@given(dishes(), st.sampled_from(FOODS[:-1]), st.sampled_from(list(Group)))
def test_taking_a_figure_away_never_makes_it_fit(dish: Dish, food: str, group: Group) -> None:
    line = read(f"30 g {food}")
    key = items_of(line)[0].key
    whole = replace(dish, lines=(*dish.lines, line))

    def without(asked: FoodKey) -> Composition:
        known = composition(asked)
        return {**known, group: None} if asked == key else known

    before = assessed(whole)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("lowsimmer.loads.mix.composition", without)
        after = assessed(whole)
    for name, load in after.loads.items():
        assert load.verdict is not Verdict.WITHIN or before.loads[name].verdict is Verdict.WITHIN, name
    assert after.verdict is not Verdict.WITHIN or before.verdict is Verdict.WITHIN
    assert after.loads[group.value].unknown_g > 0
