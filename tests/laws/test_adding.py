"""Adding an ingredient never lowers a load, never betters a verdict, never makes more of the dish fit.

The one exception is the plate view of excess fructose, where the glucose of one food is set against the fructose of
another. It is shown and never decides.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from lowsimmer.domain.groups import Group
from lowsimmer.domain.lines import Dish, Line
from tests.laws.helpers import GRAVITY, assessed
from tests.strategies import dishes, lines, read

FEW = settings(deadline=None, max_examples=60)


@FEW
@given(dishes(), lines())
def test_adding_never_lowers_a_load(dish: Dish, more: Line) -> None:
    before, after = assessed(dish), assessed(replace(dish, lines=(*dish.lines, more)))
    for name, load in before.loads.items():
        with_more = after.loads[name].range
        assert with_more.value >= load.range.value, name
        assert with_more.low >= load.range.low, name
        assert with_more.high >= load.range.high, name


@FEW
@given(dishes(), lines())
def test_adding_never_lowers_what_is_unknown(dish: Dish, more: Line) -> None:
    before, after = assessed(dish), assessed(replace(dish, lines=(*dish.lines, more)))
    for name, load in before.loads.items():
        assert after.loads[name].unknown_g >= load.unknown_g - 1e-9, name
        assert set(load.unknown_foods) <= set(after.loads[name].unknown_foods), name


@FEW
@given(dishes(), lines())
def test_adding_never_betters_a_verdict(dish: Dish, more: Line) -> None:
    before, after = assessed(dish), assessed(replace(dish, lines=(*dish.lines, more)))
    for name, load in before.loads.items():
        assert GRAVITY[after.loads[name].verdict] >= GRAVITY[load.verdict], name
    assert GRAVITY[after.verdict] >= GRAVITY[before.verdict]


@FEW
@given(dishes(), lines())
def test_adding_never_makes_more_of_it_fit(dish: Dish, more: Line) -> None:
    before, after = assessed(dish).largest, assessed(replace(dish, lines=(*dish.lines, more))).largest
    if before.times is not None and after.times is not None:
        assert after.times <= before.times * (1 + 1e-9)
    assert not (before.times is None and after.times is not None), "an unknown line cannot become known by adding one"


def test_glucose_offsets_fructose_on_the_plate_view_only() -> None:
    honey = Dish("Honey", 1, (read("20 g honey"),))
    sweetened = replace(honey, lines=(*honey.lines, read("20 g glucose syrup")))
    before, after = assessed(honey), assessed(sweetened)
    assert before.balance is not None
    assert after.balance is not None
    assert after.balance.value < before.balance.value
    cautious = Group.EXCESS_FRUCTOSE.value
    assert after.loads[cautious].range == before.loads[cautious].range
