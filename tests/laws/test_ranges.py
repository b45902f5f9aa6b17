"""A range that exists is in order; products keep it so and do not ask who comes first."""

from __future__ import annotations

import math
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lowsimmer.domain.errors import DomainError, RangeError
from lowsimmer.domain.ranges import Range, between, exactly, product
from tests.strategies import ranges

MANY = settings(deadline=None, max_examples=200)


def in_order(figure: Range) -> bool:
    """Low, value, high, and nothing below nothing."""
    return 0 <= figure.low <= figure.value <= figure.high < math.inf


@MANY
@given(ranges(), ranges())
def test_a_product_is_in_order(first: Range, second: Range) -> None:
    assert in_order(first * second)


@MANY
@given(ranges(), ranges())
def test_a_product_does_not_ask_who_comes_first(first: Range, second: Range) -> None:
    one, other = first * second, second * first
    assert (one.value, one.low, one.high) == pytest.approx((other.value, other.low, other.high), rel=1e-12)


@MANY
@given(st.lists(ranges(largest=100).filter(lambda each: each.value > 0), max_size=5), st.randoms(use_true_random=False))
def test_a_long_product_does_not_ask_for_the_order(figures: list[Range], chance: Random) -> None:
    """Value and high end; a low end that was cut off at nothing on the way cannot be won back."""
    first = product(figures)
    chance.shuffle(figures)
    second = product(figures)
    assert (first.value, first.high) == pytest.approx((second.value, second.high), rel=1e-9, abs=1e-12)


@MANY
@given(ranges())
def test_one_changes_nothing(figure: Range) -> None:
    assert figure * exactly(1.0) == figure == exactly(1.0) * figure


@MANY
@given(ranges(), st.floats(0, 1e6))
def test_a_plain_number_scales_all_three(figure: Range, factor: float) -> None:
    scaled = figure * exactly(factor)
    assert in_order(scaled)
    assert (scaled.value, scaled.low, scaled.high) == (
        figure.value * factor,
        figure.low * factor,
        figure.high * factor,
    )


@MANY
@given(ranges(), ranges(), st.floats(0, 1))
def test_a_wider_factor_never_narrows_a_product(first: Range, second: Range, more: float) -> None:
    wider = Range(first.value, first.low * (1 - more), first.high * (1 + more))
    before, after = first * second, wider * second
    assert after.high >= before.high * (1 - 1e-12)
    assert after.low <= before.low * (1 + 1e-12)


@MANY
@given(st.floats(0, 1e6), st.floats(0, 1e6))
def test_between_lies_between(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert in_order(between(low, high))


@pytest.mark.parametrize(
    ("value", "low", "high"),
    [
        (1.0, 2.0, 3.0),
        (3.0, 1.0, 2.0),
        (1.0, -1.0, 2.0),
        (-1.0, -1.0, -1.0),
        (1.0, 1.0, math.inf),
        (math.nan, 0.0, 1.0),
        (0.5, math.nan, 1.0),
        (0.5, 0.0, math.nan),
    ],
)
def test_a_range_that_cannot_be_does_not_exist(value: float, low: float, high: float) -> None:
    with pytest.raises(RangeError):
        Range(value, low, high)


def test_a_negative_factor_is_refused() -> None:
    with pytest.raises(RangeError):
        Range(2, 1, 3).scaled(-1)


def test_a_range_error_is_one_of_ours() -> None:
    assert issubclass(RangeError, DomainError)
