"""What the laws compare: all ranges of an assessment, and how grave a verdict is."""

from __future__ import annotations

import pytest

from lowsimmer.domain.limits import Verdict
from lowsimmer.domain.lines import Dish
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.assess import Assessment, assess_dish
from lowsimmer.loads.draws import Draws

DRAWS = 2000  # enough for the laws, which hold for any number of draws
GRAVITY = {Verdict.WITHIN: 0, Verdict.NOT_ENOUGH: 1, Verdict.TOO_CLOSE: 2, Verdict.OVER: 3}


def assessed(dish: Dish, profile: str = "restriction", seed: int = 1, cases: int = DRAWS) -> Assessment:
    """One serving of a dish with few draws."""
    return assess_dish(dish, profile, Draws(cases, seed))


def ranges_of(result: Assessment) -> dict[str, Range]:
    """Every range that an assessment of a plate states, by name."""
    found = {component: load.range for component, load in result.loads.items()}
    found["serving"] = result.serving
    return found if result.balance is None else {**found, "balance": result.balance}


def same(first: Range, second: Range, relative: float, absolute: float = 1e-12) -> bool:
    """True when value, low and high agree within a tolerance."""
    return (first.value, first.low, first.high) == pytest.approx(
        (second.value, second.low, second.high), rel=relative, abs=absolute
    )


def differences(first: Assessment, second: Assessment, relative: float, absolute: float = 1e-12) -> dict[str, object]:
    """The ranges that two assessments do not agree on; empty when they are alike."""
    mine, other = ranges_of(first), ranges_of(second)
    assert mine.keys() == other.keys()
    return {name: (mine[name], other[name]) for name in mine if not same(mine[name], other[name], relative, absolute)}
