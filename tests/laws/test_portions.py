"""Portions in servings, pieces, grams, spoons and cups: what they weigh, what they add up to, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Kind
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.loads.assess import Assessment, assess_plate
from lowsimmer.loads.draws import Draws
from lowsimmer.loads.mix import mean
from lowsimmer.loads.pile import Pile
from lowsimmer.loads.report import report
from lowsimmer.loads.why import explain
from lowsimmer.measuring.portions import served, weight_of
from lowsimmer.publishing.why import why_text
from lowsimmer.reading.portion import about, portion_of
from tests.laws.helpers import DRAWS, ranges_of, same
from tests.strategies import dishes, read

FEW = settings(deadline=None, max_examples=40)
STEW = Dish("Stew", 4, (read("200 g carrot"), read("2 brown onions"), read("300 g canned chickpeas, drained")))
PANCAKES = Dish("Pancakes", 4, (read("200 g plain flour"), read("300 g cow's milk")), extra={"makes": "12 pancakes"})


def eaten(words: str, dish: Dish, seed: int = 1) -> Assessment:
    """One portion of one dish, judged."""
    return assess_plate(Plate(dish.title, (portion_of(words, dish, "'a.yaml'"),)), draws=Draws(DRAWS, seed))


@pytest.mark.parametrize(
    ("words", "servings"),
    [
        ("1 serving", 1.0),
        ("half", 0.5),
        ("half a serving", 0.5),
        ("1 1/2 servings", 1.5),
        ("0.25", 0.25),
        ("3 pancakes", 1.0),
        ("3 pieces", 1.0),
        ("a pancake", 1 / 3),
    ],
)
def test_servings_and_pieces(words: str, servings: float) -> None:
    portion = portion_of(words, PANCAKES, "'a.yaml'")
    assert portion.servings == pytest.approx(servings)
    assert portion.spread is None
    assert portion.amount is None
    assert about(portion) == []


def test_a_range_of_servings_stays_a_range() -> None:
    portion = portion_of("1-2 servings", STEW, "'a.yaml'")
    assert portion.spread is not None
    assert (portion.spread.low, portion.servings, portion.spread.high) == (1, 1.5, 2)
    assert eaten("1-2 servings", STEW).serving.high > eaten("1.5 servings", STEW).serving.high


@pytest.mark.parametrize(
    ("words", "region", "grams"),
    [
        ("120 g", "", (120, 120, 120)),
        ("0.1 kg", "", (100, 100, 100)),
        ("120 g of the dish", "", (120, 120, 120)),
        ("100-140 g", "", (120, 100, 140)),
        ("3 tbsp", "uk", (45, 40, 54)),
        ("3 level tablespoons", "uk", (45, 40, 54)),
        ("3 tbsp", "au", (60, 54, 66)),
        ("2 tsp", "uk", (10, 9, 11)),
        ("half a cup", "us", (118.3, 106.5, 130.1)),
        ("1 cup", "au", (250, 225, 275)),
    ],
)
def test_what_a_weight_or_spoon_weighs(words: str, region: str, grams: tuple[float, float, float]) -> None:
    amount = portion_of(words, STEW, "'a.yaml'").amount
    assert amount is not None
    found = weight_of(amount, region)
    assert (found.value, found.low, found.high) == pytest.approx(grams, rel=0.02)


def test_a_spoon_without_a_region_is_less_sure() -> None:
    portion = portion_of("3 tbsp", STEW, "'a.yaml'")
    assert portion.amount is not None
    plain, here = weight_of(portion.amount), weight_of(portion.amount, "uk")
    assert plain.high - plain.low > here.high - here.low


@pytest.mark.parametrize("words", ["0 g", "-5 g", "lots", "tbsp", "120 g and more", "2 slices", "3 balls", "1 can", ""])
def test_what_is_no_portion(words: str) -> None:
    with pytest.raises(InputError):
        portion_of(words, STEW, "'a.yaml'")


def test_more_than_a_hundred_servings_is_no_portion() -> None:
    with pytest.raises(InputError, match="servings of it"):
        served(portion_of("1000 kg", STEW, "'a.yaml'"))


@FEW
@given(dishes(), st.floats(5, 400))
def test_so_many_grams_weigh_so_much(dish: Dish, grams: float) -> None:
    """Whatever the lines are uncertain about: a portion of 120 g is 120 g of the dish."""
    portion = portion_of(f"{grams:.1f} g", dish, "'a.yaml'")
    try:
        result = assess_plate(Plate(dish.title, (portion,)), draws=Draws(DRAWS))
    except InputError:
        assume(False)
    weight = Pile(result.parts).grams
    assert np.max(weight) == pytest.approx(round(grams, 1), rel=1e-9)
    # A case in which a dish of one vague line ("a drizzle") weighs nothing at all has nothing to give.
    assert np.quantile(weight, 0.05) == pytest.approx(round(grams, 1), rel=1e-9)


@FEW
@given(st.floats(0.1, 4))
def test_a_weight_of_a_dish_of_known_weight_is_its_share(servings: float) -> None:
    dish = Dish("Bowl", 2, (read("300 g cow's milk"), read("100 g apple")))
    by_weight, plain = eaten(f"{servings * 200:.6f} g", dish), eaten(f"{servings:.8f} servings", dish)
    mine, other = ranges_of(by_weight), ranges_of(plain)
    assert [name for name in mine if not same(mine[name], other[name], 1e-4, 1e-9)] == []


def test_a_dish_of_one_uncertain_food_has_no_uncertainty_by_weight_but_that_of_its_content() -> None:
    onion, weighed = Dish("Onion", 1, (read("2 brown onions"),)), Dish("Onion", 1, (read("200 g brown onions"),))
    assert same(eaten("50 g", onion).loads["fructan"].range, eaten("50 g", weighed).loads["fructan"].range, 1e-6)


def test_two_spoons_of_two_dishes_are_wrong_apart_and_the_mean_is_kept() -> None:
    dish = Dish("Dip", 1, (read("100 g cow's milk"),))
    portions = tuple(portion_of("3 tbsp", replace(dish, region="uk"), "'a.yaml'") for _ in range(2))
    both = assess_plate(Plate("Two", portions), draws=Draws(DRAWS))
    one = assess_plate(Plate("One", portions[:1]), draws=Draws(DRAWS))
    assert mean(Pile(both.parts).grams) == pytest.approx(2 * mean(Pile(one.parts).grams), rel=1e-3)
    width = (one.serving.high - one.serving.low) * 2
    assert both.serving.high - both.serving.low < 0.85 * width


def test_a_line_without_weight_is_named() -> None:
    dish = replace(STEW, lines=(*STEW.lines, read("moonfruit jelly"), read("some tofu")))
    with pytest.raises(InputError, match="no weight for moonfruit jelly"):
        eaten("120 g", dish)
    assert eaten("1 serving", dish).unweighed


def test_the_region_over_the_file_moves_the_spoon() -> None:
    plate = Plate("Plate", (portion_of("3 tbsp", STEW, "'a.yaml'"),))
    moved = replace(plate, portions=tuple(replace(p, dish=replace(p.dish, region="au")) for p in plate.portions))
    assert report(moved, draws=Draws(DRAWS)).result.serving.value == pytest.approx(60, rel=0.01)


def test_a_portion_by_weight_says_so() -> None:
    found = about(portion_of("3 tbsp", STEW, "'a.yaml'"))
    assert [each.kind for each in found] == [Kind.PORTION_BY_WEIGHT]
    assert "0.9 to 1.1 g/ml" in found[0].sentence
    assert "g/ml" not in about(portion_of("120 g", STEW, "'a.yaml'"))[0].sentence


def test_why_shows_the_share_with_its_range() -> None:
    result = eaten("3 tbsp", STEW)
    origins = explain(result, "fructan").origins
    portion = served(portion_of("3 tbsp", STEW, "'a.yaml'")).portion
    assert portion.servings is not None
    assert origins[0].share_eaten == pytest.approx(portion.servings / 4)
    assert " to " in why_text(explain(result, "fructan")).partition(") x ")[2].partition("eaten")[0]


def test_a_portion_is_something() -> None:
    with pytest.raises(ValueError, match="portion"):
        Portion(STEW, None)
    with pytest.raises(ValueError, match="portion"):
        Portion(STEW, 0.0)
