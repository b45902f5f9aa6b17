"""Widening a source range never narrows a result: not an amount, not a weight, not a content.

Widening here moves both ends away from the centre by the same distance. To lower the low end alone would also move
the figure down as a whole (half of its cases become smaller, none larger), and a smaller amount of an uncertain food
has a smaller range: that is a change of the figure, not only of what is known about it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lowsimmer.domain.foods import Estimate, FoodKey
from lowsimmer.domain.lines import Dish, Line, Plate, Portion
from lowsimmer.domain.masses import Factor, Grams
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.assess import Assessment, assess_parts
from lowsimmer.loads.draws import Draws
from lowsimmer.loads.mix import Amounts, Portioned, mix, portioned, total
from lowsimmer.reference.composition import Composition, composition
from lowsimmer.reference.limits import profile
from tests.laws.helpers import assessed
from tests.strategies import dishes

FEW = settings(deadline=None, max_examples=40)
NOISE = 0.01  # of the cases: draws are ten thousand, not infinitely many
CASES = 10_000

shares = st.floats(0, 1)


def wider(figure: Range, share: float) -> Range:
    """Both ends moved out by the same distance, a share of what lies below the low end; the centre stays."""
    distance = figure.low * share
    return Range(figure.value, figure.low - distance, figure.high + distance)


def _width(cases: Amounts, edge: float) -> float:
    """The distance between the two points that have a share `edge` of the cases outside them."""
    if isinstance(cases, float):
        return 0.0
    low, high = np.quantile(cases, (edge, 1 - edge))
    return float(high - low)


def _median(cases: Amounts) -> float:
    return cases if isinstance(cases, float) else float(np.median(cases))


def _cases(result: Assessment) -> dict[str, Amounts]:
    """The cases of every component, and of the weight of the serving."""
    found = {name: total(part.known(name) for part in result.parts) for name in result.loads}
    return {**found, "serving": total(part.grams for part in result.parts if part.grams is not None)}


def narrowed(before: Assessment, after: Assessment) -> list[str]:
    """The components whose range shrank by more than the noise of the draws.

    The range of nine cases in ten afterwards may not be narrower than that of 88 in 100 before: with ten thousand
    draws the place of a bound is known to a quarter of a hundredth, so this is four times its error.

    A load that is nil in half of the cases (an excess that is seldom one) is left out: the upper bound of what is
    mostly zero may fall when the weight it is multiplied with spreads, and that is right.
    """
    mine, other = _cases(before), _cases(after)
    return [
        name
        for name in mine
        if _median(mine[name]) > 0 and _width(other[name], 0.05) < _width(mine[name], 0.05 + NOISE) * (1 - 1e-9) - 1e-12
    ]


def _wider_line(line: Line, share: float) -> Line:
    amount = line.amount
    return line if amount is None else replace(line, amount=replace(amount, number=wider(amount.number, share)))


@FEW
@given(dishes(), shares, st.data())
def test_a_wider_amount(dish: Dish, share: float, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(dish.lines) - 1))
    changed = (*dish.lines[:place], _wider_line(dish.lines[place], share), *dish.lines[place + 1 :])
    before, after = assessed(dish, cases=CASES), assessed(replace(dish, lines=changed), cases=CASES)
    assert narrowed(before, after) == []


def _wider_factors(grams: Grams, share: float) -> Grams:
    def changed(factor: Factor) -> Factor:
        as_written = factor.identity.startswith("amount:")
        return factor if as_written else replace(factor, range=wider(factor.range, share))

    return Grams(tuple(tuple(changed(factor) for factor in term) for term in grams.terms))


def _wider_item(each: Portioned, share: float) -> Portioned:
    item = each.item
    return each if item.grams is None else replace(each, item=replace(item, grams=_wider_factors(item.grams, share)))


def _judged(plate: Plate, items: Sequence[Portioned]) -> Assessment:
    return assess_parts(plate, mix(items, Draws(CASES)), profile("restriction"))


@FEW
@given(dishes(), shares)
def test_wider_piece_weights_measures_and_densities(dish: Dish, share: float) -> None:
    plate = Plate(dish.title, (Portion(dish, 1.0),))
    items = portioned(plate)
    before = _judged(plate, items)
    after = _judged(plate, [_wider_item(each, share) for each in items])
    assert narrowed(before, after) == []


def _wider_estimate(known: Estimate | None, more: float) -> Estimate | None:
    """Content with a wider range; a fact of zero stays one, and no content falls below nothing by it."""
    if known is None or known.known_zero:
        return known
    low = known.low - more * (known.value - known.low)
    if known.low >= 0:
        low = max(0.0, low)
    return replace(known, low=max(-100.0, low), high=min(100.0, known.high + more * (known.high - known.value)))


@FEW
@given(dishes(), st.floats(0, 2))
def test_wider_contents(dish: Dish, more: float) -> None:
    def widened(key: FoodKey) -> Composition:
        return {group: _wider_estimate(known, more) for group, known in composition(key).items()}

    before = assessed(dish, cases=CASES)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("lowsimmer.loads.mix.composition", widened)
        after = assessed(dish, cases=CASES)
    assert narrowed(before, after) == []
