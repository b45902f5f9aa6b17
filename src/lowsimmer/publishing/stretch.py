"""What could be larger on a plate and what must shrink, in words: one sentence or two for each dish."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from lowsimmer.domain.groups import component_label
from lowsimmer.domain.lines import Amount, Dish
from lowsimmer.loads.phases import PLENTY, SMALLEST
from lowsimmer.loads.stretch import Reach, Stretch

_MAKES = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(.*)")
_STEP = 0.25  # servings and cups are told in quarters, below one in twentieths


def stretch_words(found: Iterable[Stretch]) -> list[str]:
    """The sentences, in the order of the plate; one more when no dish alone could bring it within."""
    listed = list(found)
    lines = [_sentence(each) + _not_counted(each) for each in listed]
    if len(listed) > 1 and all(each.known.times == 0 for each in listed):
        lines.append("No single dish can bring the plate within its limits; two or more have to shrink.")
    return lines


def _sentence(each: Stretch) -> str:
    """By what is known; what is not counted is said behind it."""
    times = each.known.times
    if times is None or math.isinf(times):
        return f"{each.dish}: no limit stops it, however much of it is eaten."
    if times == 0:
        return f"To shrink {each.dish} alone is not enough: without any of it {_without(each.known)}."
    now, new = _amount(each, 1.0), _amount(each, times)
    if times * _servings(each) >= max(PLENTY, 2 * _servings(each)):
        return f"{each.dish} could be far larger: more than {PLENTY:g} servings would fit."
    if not new:
        return f"{each.dish} would have to shrink to next to nothing: {_stop(each.known)}."
    if times >= 1:
        larger = f"could be {new} instead of {now}; then" if new != now else f"can hardly be larger than {now}:"
        return f"{each.dish} {larger} {_stop(each.known)}."
    return f"{each.dish} would have to shrink from {now} to {new}: {_stop(each.known)}."


def _stop(reach: Reach) -> str:
    label = component_label(reach.component)
    return f"{reach.food} reaches its own cut-off for {label}" if reach.food else f"{label} is the first limit reached"


def _without(reach: Reach) -> str:
    label = component_label(reach.component)
    return f"{reach.food} is still not within its own cut-off for {label}" if reach.food else f"{label} is not within"


def _not_counted(each: Stretch) -> str:
    """What the sentence leaves out of account, where that could make the dish smaller."""
    if each.unweighed:
        return f" Not counted: {'; '.join(each.unweighed)}, without a weight."
    small = each.sure.times is not None and each.sure.times * _servings(each) < PLENTY
    if each.unknown and small:
        label = component_label(each.sure.component)
        return f" Not counted: {'; '.join(each.unknown)}, without a figure for {label}."
    return ""


def _servings(each: Stretch) -> float:
    return (each.portion.servings if each.portion else None) or 1.0


def _amount(each: Stretch, times: float) -> str:
    """A multiple of the portion in the unit in which it was given, and its grams; empty for next to nothing.

    The portion as it is stands as it was given; others are rounded down.
    """
    if each.portion and each.portion.amount is not None:
        return each.portion.words if times == 1 else _measured(each, each.portion.amount, times)
    servings = _servings(each) * times
    shown = servings if times == 1 else _rounded(servings)
    if shown < SMALLEST:
        return ""
    pieces = _pieces(each.portion.dish, shown) if each.portion else ""
    weight = _grams(each.grams * shown / _servings(each))
    return f"{shown:.3g} {'serving' if shown == 1 else 'servings'} ({weight}{pieces})"


def _measured(each: Stretch, amount: Amount, times: float) -> str:
    """A multiple of a portion by weight, spoon or cup."""
    number, unit = amount.number.value * times, amount.unit
    if unit == "gram":
        shown = _down(number, 5 if number >= 20 else 1)
        return f"{shown:g} g" if shown else ""
    shown = _down(number, 0.5) if number >= 2 else _rounded(number)
    weight = _grams(each.grams * shown / amount.number.value)
    return f"{shown:g} {unit}{'' if shown == 1 else 's'} ({weight})" if shown else ""


def _grams(grams: float) -> str:
    return f"about {_down(grams, 5 if grams >= 20 else 1):g} g of ingredients"


def _rounded(number: float) -> float:
    return _down(number, _STEP if number >= 1 else SMALLEST)


def _down(number: float, step: float) -> float:
    return round(math.floor(number / step + 1e-9) * step, 2)


def _pieces(dish: Dish, servings: float) -> str:
    """How many whole pieces that is, where the dish makes pieces."""
    makes = _MAKES.match(dish.extra.get("makes", ""))
    if makes is None:
        return ""
    count = int(servings * float(makes.group(1)) / dish.serves + 1e-9)
    word = makes.group(2).strip() or "pieces"
    return f", {count} {word.removesuffix('s') if count == 1 else word}"
