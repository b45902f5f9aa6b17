"""The four verdict words divide all cases between them; the largest serving is the largest that is within limit."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from lowsimmer.domain.limits import Verdict, gravest
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.loads.assess import assess_plate
from lowsimmer.loads.draws import Draws
from lowsimmer.loads.judge import verdict
from tests.laws.helpers import DRAWS, GRAVITY, assessed
from tests.strategies import dishes, read

FEW = settings(deadline=None, max_examples=40)
CASES = 1000


def cases_below(count: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """A thousand cases, so many of them below a limit of one gram and all others above it."""
    return np.where(np.arange(CASES) < count, 0.5, 2.0)


def expected(below: int, worst_below: int | None) -> Verdict:
    """The definition in docs and head of `judge`, in whole cases out of a thousand."""
    if below <= 100:
        return Verdict.OVER
    if below < 900:
        return Verdict.TOO_CLOSE
    return Verdict.WITHIN if worst_below is not None and worst_below >= 900 else Verdict.NOT_ENOUGH


@settings(deadline=None, max_examples=300)
@given(st.integers(0, CASES), st.one_of(st.none(), st.integers(0, CASES)))
def test_the_words_partition_all_cases(below: int, unknown: int | None) -> None:
    worst = None if unknown is None else min(below, unknown)
    found = verdict(cases_below(below), None if worst is None else cases_below(worst), 1.0)
    assert found is expected(below, worst)


def test_nine_in_ten_is_enough_on_either_side() -> None:
    assert verdict(cases_below(100), cases_below(100), 1.0) is Verdict.OVER
    assert verdict(cases_below(101), cases_below(101), 1.0) is Verdict.TOO_CLOSE
    assert verdict(cases_below(899), cases_below(899), 1.0) is Verdict.TOO_CLOSE
    assert verdict(cases_below(900), cases_below(900), 1.0) is Verdict.WITHIN
    assert verdict(cases_below(900), cases_below(899), 1.0) is Verdict.NOT_ENOUGH
    assert verdict(cases_below(900), None, 1.0) is Verdict.NOT_ENOUGH


def test_at_the_limit_is_not_below_it() -> None:
    assert verdict(1.0, 1.0, 1.0) is Verdict.OVER
    assert verdict(0.999, 0.999, 1.0) is Verdict.WITHIN


@FEW
@given(dishes())
def test_the_verdict_of_a_plate_is_its_gravest(dish: Dish) -> None:
    result = assessed(dish)
    words = [each.verdict for each in result.loads.values()] + [each.verdict for each in result.foods]
    assert result.verdict is gravest(words)
    assert GRAVITY[result.verdict] == max(GRAVITY[each] for each in words)


@FEW
@given(dishes())
def test_maintenance_is_never_stricter_than_restriction(dish: Dish) -> None:
    strict, loose = assessed(dish, "restriction"), assessed(dish, "maintenance")
    assert GRAVITY[loose.verdict] <= GRAVITY[strict.verdict]
    if strict.largest.times is not None and loose.largest.times is not None:
        assert loose.largest.times >= strict.largest.times * (1 - 1e-9)


def _eaten(dish: Dish, servings: float) -> Verdict:
    plate = Plate(dish.title, (Portion(dish, servings),))
    return assess_plate(plate, "restriction", Draws(DRAWS)).verdict


@settings(deadline=None, max_examples=80)
@given(dishes())
@example(Dish("Little apple", 1, (read("1 g apple"),)))
@example(Dish("Much mango", 1, (read("200 g mango"),)))
def test_the_largest_serving_fits_and_a_twentieth_more_does_not(dish: Dish) -> None:
    times = assessed(dish).largest.times
    assume(times is not None and math.isfinite(times))
    assert times is not None
    # A limit is to be stayed below, so the largest serving itself is approached by a millionth.
    assert _eaten(dish, times * (1 - 1e-6)) is Verdict.WITHIN
    assert _eaten(dish, times * 1.05) is not Verdict.WITHIN


@FEW
@given(dishes())
def test_within_limit_means_that_a_whole_serving_fits(dish: Dish) -> None:
    result = assessed(dish)
    if result.verdict is Verdict.WITHIN:
        assert result.largest.times is not None
        assert result.largest.times >= 1 - 1e-9
    elif result.largest.times is not None:
        assert result.largest.times <= 1 + 1e-9


def test_a_dish_of_nothing_but_oil_has_no_largest_serving() -> None:
    result = assessed(replace(Dish("Oil", 1, (read("2 tbsp olive oil"),)), serves=4))
    assert result.verdict is Verdict.WITHIN
    assert result.largest.times in {None, math.inf} or (result.largest.times or 0) > 10
