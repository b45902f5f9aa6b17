"""Conversions: worked values from molar masses and from the printed factors, and what holds for every number."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lowsimmer.domain.errors import RangeError
from lowsimmer.reference.bases import ENDLESS, HEXOSES, equivalents, from_dry, from_equivalents, from_portion

grams = st.floats(0, 100)
chains = st.integers(1, 10_000)

# McCance and Widdowson's factors, introduction to the tables: what the rounded ones must lie beside.
PRINTED = {"glucose": 1.0, "lactose": 1.05, "raffinose": 1.07, "stachyose": 1.08, "verbascose": 1.09}


@pytest.mark.parametrize(
    ("hexoses", "factor"),
    [(1, 1.0), (2, 1.0526), (3, 1.0714), (4, 1.0811), (5, 1.0870), (ENDLESS, 1.1111)],
    ids=["glucose", "sucrose", "raffinose", "stachyose", "verbascose", "starch"],
)
def test_factors_of_the_molar_masses(hexoses: float, factor: float) -> None:
    assert equivalents(hexoses) == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize("sugar", list(PRINTED))
def test_factors_lie_beside_the_printed_ones(sugar: str) -> None:
    assert equivalents(HEXOSES[sugar]) == pytest.approx(PRINTED[sugar], abs=0.004)


def test_the_factor_is_the_weight_after_splitting_by_the_weight_before() -> None:
    raffinose = 3 * 180.156 - 2 * 18.015
    assert raffinose == pytest.approx(504.44, abs=0.01)  # g per mol, as handbooks print it
    assert equivalents(3) == pytest.approx(3 * 180.156 / raffinose)


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        (from_dry(27.17, 89), 2.9887),  # onion of moongngarm2011, as in the data files
        (from_dry(50.1, 63), 18.537),  # garlic of lisciani2017, likewise
        (from_portion(1.5, 30), 5.0),
        (from_equivalents(105.26, 2), 100.0),  # white sugar in monosaccharide equivalents
    ],
    ids=["onion, dry", "garlic, dry", "portion", "sucrose"],
)
def test_worked_values(found: float, expected: float) -> None:
    assert found == pytest.approx(expected, rel=1e-4)


@given(grams, st.floats(0, 99.9))
def test_fresh_is_never_more_than_dry(value: float, water: float) -> None:
    fresh = from_dry(value, water)
    assert 0 <= fresh <= value
    assert fresh * 100 / (100 - water) == pytest.approx(value)


@given(grams, st.floats(0.1, 2000))
def test_a_portion_holds_what_was_stated(value: float, portion: float) -> None:
    assert from_portion(value, portion) * portion / 100 == pytest.approx(value)


@given(grams, chains)
def test_sugar_weighs_less_than_what_it_splits_into(value: float, hexoses: int) -> None:
    sugar = from_equivalents(value, hexoses)
    assert value / equivalents(ENDLESS) <= sugar <= value
    assert sugar * equivalents(hexoses) == pytest.approx(value)


@given(chains)
def test_the_factor_grows_with_the_chain(hexoses: int) -> None:
    assert equivalents(hexoses) < equivalents(hexoses + 1) < equivalents(ENDLESS)


@given(grams, grams, st.floats(0, 99.9), st.floats(0.1, 2000), chains)
def test_order_is_kept(one: float, other: float, water: float, portion: float, hexoses: int) -> None:
    assume(one <= other)
    assert from_dry(one, water) <= from_dry(other, water)
    assert from_portion(one, portion) <= from_portion(other, portion)
    assert from_equivalents(one, hexoses) <= from_equivalents(other, hexoses)


@pytest.mark.parametrize("water", [-1, 100, 120, float("nan")])
def test_water_that_cannot_be(water: float) -> None:
    with pytest.raises(RangeError):
        from_dry(1, water)


@pytest.mark.parametrize("portion", [0, -5, float("inf"), float("nan")])
def test_a_portion_that_cannot_be(portion: float) -> None:
    with pytest.raises(RangeError):
        from_portion(1, portion)


@pytest.mark.parametrize("hexoses", [0, 0.5, -1, float("nan")])
def test_a_chain_that_cannot_be(hexoses: float) -> None:
    with pytest.raises(RangeError):
        equivalents(hexoses)
