"""How large a dish may be beside the others: what is said to fit fits, a twentieth more does not, and what shrinks."""

from __future__ import annotations

import math
from dataclasses import replace
from time import perf_counter

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lowsimmer.demo import KITCHEN, MEAL
from lowsimmer.domain.limits import Verdict
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.loads.assess import assess_plate
from lowsimmer.loads.draws import Draws
from lowsimmer.loads.stacks import stacks
from lowsimmer.loads.stretch import Reach, Stretch, reached, stretch
from lowsimmer.publishing.stretch import stretch_words
from lowsimmer.reading.meal import open_plate
from lowsimmer.reading.portion import portion_of
from lowsimmer.reference.limits import profile
from tests.laws.helpers import DRAWS, assessed
from tests.strategies import dishes, read

FEW = settings(deadline=None, max_examples=40)
CARROTS = Dish("Carrots", 1, (read("100 g carrot"),))
ONION = Dish("Onion", 1, (read("40 g brown onion"),))
MILK = Dish("Milk", 1, (read("100 g cow's milk"),))


def plate_of(*dishes_: Dish, servings: float = 1.0) -> Plate:
    """One portion of each dish."""
    return Plate("Plate", tuple(Portion(dish, servings) for dish in dishes_))


def stretched(plate: Plate, name: str = "restriction") -> tuple[Stretch, ...]:
    """The stretch of every dish with few draws."""
    return stretch(assess_plate(plate, name, Draws(DRAWS)).parts, profile(name))


def _verdict(plate: Plate, place: int, times: float) -> Verdict:
    """The verdict when one portion is multiplied; at nothing its dish is left out."""
    portions = list(plate.portions)
    if times > 0:
        portions[place] = replace(portions[place], servings=(portions[place].servings or 0) * times)
    else:
        del portions[place]
    return assess_plate(replace(plate, portions=tuple(portions)), "restriction", Draws(DRAWS)).verdict


@FEW
@given(dishes(), dishes(), st.integers(0, 1))
def test_what_fits_fits_and_a_twentieth_more_does_not(one: Dish, other: Dish, place: int) -> None:
    few = (0.02, 0.5) if place else (0.5, 0.02)  # a taste of the other, or seldom would anything fit beside it
    plate = Plate("Plate", tuple(Portion(dish, servings) for dish, servings in zip((one, other), few, strict=True)))
    times = stretched(plate)[place].sure.times
    assume(times is not None and 0 < times < 1e6)
    assert times is not None
    assert _verdict(plate, place, times * (1 - 1e-6)) is Verdict.WITHIN
    assert _verdict(plate, place, times * 1.05) is not Verdict.WITHIN


@FEW
@given(dishes(), dishes(), st.integers(0, 1))
def test_not_by_this_dish_alone_means_not_without_it(one: Dish, other: Dish, place: int) -> None:
    plate = plate_of(one, other)
    found = stretched(plate)[place]
    without = _verdict(plate, place, 0)
    if found.sure.times == 0:
        assert without is not Verdict.WITHIN
    if without is not Verdict.WITHIN:
        assert not found.sure.times


@FEW
@given(dishes())
def test_alone_on_the_plate_it_is_the_largest_serving(dish: Dish) -> None:
    largest = assessed(dish).largest
    found = stretched(plate_of(dish))[0]
    if largest.times is None:
        assert found.sure.times is None
        assert found.unweighed
    else:
        assert found.sure.times == pytest.approx(largest.times, rel=1e-9)


@FEW
@given(dishes(), dishes())
def test_what_is_known_never_stops_earlier_than_the_bound_on_what_is_not(one: Dish, other: Dish) -> None:
    for each in stretched(plate_of(one, other)):
        assert each.known.times is not None
        if each.sure.times is not None:
            assert each.sure.times <= each.known.times * (1 + 1e-9)


@FEW
@given(dishes(), dishes())
def test_within_limit_means_that_nothing_has_to_shrink(one: Dish, other: Dish) -> None:
    plate = plate_of(one, other)
    result = assess_plate(plate, draws=Draws(DRAWS))
    times = [each.sure.times for each in stretch(result.parts, result.profile)]
    if result.verdict is Verdict.WITHIN:
        assert all(each is not None and each >= 1 - 1e-9 for each in times)
    else:
        assert all(each is None or each <= 1 + 1e-9 for each in times)


@settings(deadline=None, max_examples=100)
@given(
    st.lists(st.floats(0, 5), min_size=20, max_size=20),
    st.lists(st.floats(0, 2), min_size=20, max_size=20),
    st.floats(0.5, 3),
)
def test_the_closed_form_counts_cases_as_the_verdict_does(mine: list[float], fixed: list[float], limit: float) -> None:
    one, rest = np.array(mine), np.array(fixed)
    times = reached(one, rest, limit)
    if 0 < times < 1e6:
        assert np.mean(rest + times * (1 - 1e-9) * one < limit) >= 0.9
        assert np.mean(rest + times * (1 + 1e-9) * one < limit) <= 0.95
    elif times <= 0:
        assert np.mean(rest + 1e-9 * one < limit) <= 0.95
    else:
        assert np.mean(rest < limit) >= 0.9


def test_plain_numbers_need_no_cases() -> None:
    assert reached(0.5, 1.0, 2.0) == pytest.approx(2)
    assert reached(0.0, 1.0, 2.0) == math.inf
    assert reached(0.0, 3.0, 2.0) < 0
    assert reached(np.array([0.5] * 10), 1.0, 2.0) == pytest.approx(2)


def test_the_same_food_in_two_dishes_counts_together() -> None:
    alone = stretched(plate_of(ONION))[0].sure.times
    beside = stretched(plate_of(ONION, replace(ONION, title="Onion again")))[0].sure.times
    assert alone is not None
    assert beside == pytest.approx(max(0.0, alone - 1), rel=1e-6)


def test_a_dish_over_the_limit_is_what_has_to_shrink() -> None:
    onion, carrots = stretched(plate_of(ONION, CARROTS))
    assert onion.sure.times is not None
    assert 0 < onion.sure.times < 1
    assert carrots.sure.times == 0
    assert {onion.sure.component, carrots.sure.component} <= {"fructan", "oligosaccharides", "total"}


def test_the_sentences() -> None:
    words = stretch_words(stretched(plate_of(ONION, CARROTS)))
    assert words[0].startswith("Onion would have to shrink from 1 serving (about 40 g of ingredients) to 0.")
    assert words[1].startswith("To shrink Carrots alone is not enough: without any of it ")
    assert len(words) == 2
    assert stretch_words(stretched(plate_of(ONION, replace(ONION, title="More"))))[-1].startswith("No single dish")
    oil = Dish("Oil", 1, (read("10 g olive oil"),))
    assert stretch_words(stretched(plate_of(oil))) == ["Oil: no limit stops it, however much of it is eaten."]


def test_the_sentences_keep_the_unit_of_the_portion() -> None:
    def said(words: str, dish: Dish) -> str:
        return stretch_words(stretched(Plate("Plate", (portion_of(words, dish, "'a.yaml'"),))))[0]

    assert "could be 40 g instead of 10 g" not in said("10 g", MILK)
    assert " g instead of 10 g; then lactose is the first limit reached." in said("10 g", MILK)
    assert "could be 1 tablespoon (about 15 g" in said("half a tbsp", replace(MILK, region="uk"))
    assert " to next to nothing" in stretch_words([Stretch("A", 0, None, 1000, *(Reach(0.01, "gos"),) * 2)])[0]
    far = Reach(50, "gos")
    assert "more than 4 servings would fit" in stretch_words([Stretch("A", 0, None, 100, far, far)])[0]
    close = Reach(1.02, "lactose", "Quark")
    assert stretch_words([Stretch("A", 0, None, 100, close, close)])[0] == (
        "A can hardly be larger than 1 serving (about 100 g of ingredients): Quark reaches its own cut-off for lactose."
    )


def test_what_is_not_counted_is_said() -> None:
    jelly = Dish("Jelly", 1, (read("10 g cow's milk"), read("50 g moonfruit jelly")))
    assert "Not counted: moonfruit jelly, without a figure for" in stretch_words(stretched(plate_of(jelly)))[0]
    loose = replace(jelly, lines=(read("10 g cow's milk"), read("moonfruit jelly")))
    found = stretched(plate_of(loose, CARROTS))
    assert [each.sure.times for each in found] == [None, None]
    assert stretch_words(found)[1].endswith("Not counted: moonfruit jelly, without a weight.")


def test_the_pieces_of_a_stack_are_the_whole() -> None:
    result = assess_plate(plate_of(ONION, CARROTS, MILK), draws=Draws(DRAWS))
    for stack in stacks(result):
        assert stack.load is result.loads[stack.component]
        assert [piece.dish for piece in stack.pieces] == ["Onion", "Carrots", "Milk"]
        if stack.load.range.high > 0:
            assert sum(piece.share for piece in stack.pieces) == pytest.approx(1)
        else:
            assert {piece.share for piece in stack.pieces} == {0}


def test_the_supper_is_stretched_in_a_blink() -> None:
    """Under 60 ms on our machine; the test allows for a busy one."""
    plate = open_plate(str(KITCHEN / MEAL))
    assert isinstance(plate, Plate)
    result = assess_plate(plate)
    took = []
    for _ in range(5):
        begin = perf_counter()
        stretch(result.parts, result.profile)
        took.append(perf_counter() - begin)
    assert min(took) < 0.3
