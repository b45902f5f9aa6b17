"""Facts of the trade through the whole pipeline, from the text of a recipe to a verdict.

All of them: common practice, no source. They are what a practitioner of the diet knows by heart, so a program that
says otherwise is wrong or owes an explanation. Each test writes its fact as the cook would.
"""

from __future__ import annotations

import pytest

from lowsimmer.domain.groups import Group
from lowsimmer.domain.limits import Verdict
from lowsimmer.loads.assess import Assessment, assess_dish
from lowsimmer.reading.dish import read_dish

TRADE = "common practice, no source"


def assess(recipe: str, serves: int = 1) -> Assessment:
    """One serving of a dish with these ingredient lines, in the restriction phase, with cups of the United States."""
    front = f"---\ntitle: Trade\nserves: {serves}\nregion: us\n---\n## Ingredients\n"
    return assess_dish(read_dish(front + recipe, "the test"), "restriction")


def test_two_corn_tortillas_fit_a_serving_of_the_restriction_phase() -> None:
    result = assess("- 2 corn tortillas")
    assert result.verdict is Verdict.WITHIN, TRADE
    assert result.largest.times is not None
    assert result.largest.times >= 1, TRADE


@pytest.mark.parametrize(
    "line",
    [
        "- 2 tablespoons canned chickpeas, drained",
        "- 2 tablespoons canned chickpeas, drained and rinsed",
        "- 2 tablespoons canned black beans, drained",
        "- 2 tablespoons canned black beans, drained and rinsed",
    ],
)
def test_two_tablespoons_of_canned_drained_beans_are_about_the_limit(line: str) -> None:
    result = assess(line)
    assert result.largest.stopped_by == "oligosaccharides", TRADE
    assert result.largest.times is not None
    assert 0.4 <= result.largest.times <= 3, f"{TRADE}: {result.largest}"


def test_a_can_of_beans_for_one_is_far_too_much() -> None:
    assert assess("- 1 x 400 g can chickpeas, drained and rinsed").verdict is Verdict.OVER, TRADE


def test_two_tablespoons_of_an_avocado_dip_are_not_called_over() -> None:
    """About the limit. The sugar alcohol of avocado has no figure yet, so 'not enough data' is an honest answer too."""
    dip = """
- 1 medium avocado, mashed
- 1 tablespoon lime juice
- 1 pinch salt
"""
    result = assess(dip, serves=5)
    assert 20 <= result.serving.value <= 40, "two tablespoons are about 30 g"
    assert result.verdict is not Verdict.OVER, f"{TRADE}: {result.verdict}"
    assert not [load for load in result.loads.values() if load.verdict is Verdict.OVER], TRADE
    polyols = result.loads["polyols"]
    assert polyols.range.value > 0.05 or "Avocado, raw" in polyols.unknown_foods, "unknown is not zero"


def test_a_green_onion_top_is_fine_where_a_bulb_is_not() -> None:
    top = assess("- 20 g spring onions, green parts only")
    bulb = assess("- 20 g spring onions, white parts only")
    assert top.loads[Group.FRUCTAN].verdict is Verdict.WITHIN, TRADE
    assert top.verdict not in {Verdict.OVER, Verdict.TOO_CLOSE}, TRADE
    assert bulb.loads[Group.FRUCTAN].verdict is Verdict.OVER, TRADE
    assert bulb.verdict is Verdict.OVER, TRADE


def test_a_whole_green_onion_is_not_taken_for_its_top() -> None:
    whole = assess("- 2 spring onions").loads[Group.FRUCTAN].range
    top = assess("- 2 spring onions, green parts only").loads[Group.FRUCTAN].range
    assert whole.value > 2 * top.value, TRADE


@pytest.mark.parametrize("line", ["- 1 tbsp garlic-infused oil", "- 2 tablespoons strained garlic oil"])
def test_strained_garlic_oil_carries_no_fructan(line: str) -> None:
    fructan = assess(line).loads[Group.FRUCTAN]
    assert (fructan.range.value, fructan.range.high, fructan.unknown_g) == (0, 0, 0), TRADE


def test_garlic_left_in_its_oil_does_carry_fructan() -> None:
    left_in = assess("- 1 tbsp olive oil\n- 2 cloves garlic, finely chopped")
    assert left_in.loads[Group.FRUCTAN].verdict is Verdict.OVER, TRADE


def test_a_pickled_hot_pepper_is_not_higher_than_a_fresh_one() -> None:
    pickled, fresh = assess("- 30 g pickled jalapeños, drained"), assess("- 30 g fresh jalapeño chilli")
    known = [group for group in Group if not pickled.loads[group].unknown_g and not fresh.loads[group].unknown_g]
    assert Group.EXCESS_FRUCTOSE in known
    for group in (each for each in known if each is not Group.LACTOSE):
        assert pickled.loads[group].range.value <= fresh.loads[group].range.value, f"{group}, {TRADE}"
        assert pickled.loads[group].range.high <= fresh.loads[group].range.high, f"{group}, {TRADE}"


def test_lactose_free_milk_replaces_milk() -> None:
    assert assess("- 1 cup whole milk").loads[Group.LACTOSE].verdict is Verdict.OVER, TRADE
    assert assess("- 1 cup lactose-free milk").loads[Group.LACTOSE].verdict is Verdict.WITHIN, TRADE


def test_hard_cheese_is_free_of_lactose_for_the_diet() -> None:
    assert assess("- 40 g parmesan").loads[Group.LACTOSE].verdict is Verdict.WITHIN, TRADE
