"""Grams times content, line by line, as cases per serving.

A `Portioned` item is an item of a dish with the share of the whole dish that one person eats. Its part in a group is
an array of cases, a plain number where nothing is uncertain, or None where the food has no figure. Excess fructose is
taken per food as the part of the balance above zero; the signed balance is kept for the plate as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from lowsimmer.domain.foods import Estimate, FoodKey
from lowsimmer.domain.groups import Group, members
from lowsimmer.domain.lines import Plate, Portion
from lowsimmer.domain.masses import Grams
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.draws import Cases, Draws
from lowsimmer.measuring.portions import served
from lowsimmer.measuring.weigh import Item
from lowsimmer.reference.composition import ceiling, composition

Amounts = Cases | float
NEXT_TO_NOTHING = 1e-6  # of the weight of a dish: no case of it is taken as lighter
WORST = 100.0  # g per 100 g: the bound of a content of which nothing at all is known


@dataclass(frozen=True, slots=True)
class Portioned:
    """One item on a plate: `share` of the dish's grams is eaten; `dish` is the dish's title.

    `place` tells the dishes of a plate apart, and `portion` is the whole portion that the item is part of.
    """

    item: Item
    share: float
    dish: str
    place: int = 0
    portion: Portion | None = None

    @property
    def spread(self) -> Range | None:
        """The range of the share where the portion is only about so much; the weight of the dish is not in it."""
        if self.portion is None or self.portion.spread is None:
            return None
        return self.portion.spread.scaled(1 / self.portion.dish.serves)


@dataclass(frozen=True, slots=True)
class Part:
    """What one item brings to the plate: its grams and, by group, its load; None is unknown.

    `traces` are the detection limits behind its zeros, in grams: the most that was not found could add.
    """

    portioned: Portioned
    grams: Amounts | None
    loads: dict[Group, Amounts | None]
    balance: Amounts | None
    traces: dict[Group, float]

    @property
    def item(self) -> Item:
        """The item itself."""
        return self.portioned.item

    @property
    def key(self) -> FoodKey | None:
        """Food and form, None when not matched."""
        return self.item.key

    def unknown(self, component: str) -> bool:
        """True when the item has no figure for some group of the component."""
        return any(self.loads[group] is None for group in members(component))

    def known(self, component: str) -> Amounts:
        """The known load of a component; unknown groups are left out here and reported beside it."""
        return total(load for group in members(component) if (load := self.loads[group]) is not None)

    def worst(self, component: str) -> Amounts | None:
        """A bound for the unknown groups of the component; None when not even the grams are known."""
        missing = [group for group in members(component) if self.loads[group] is None]
        if not missing:
            return 0.0
        if self.grams is None:
            return None
        most = WORST if self.key is None else min(WORST, sum(ceiling(self.key, group) for group in missing))
        return self.grams * (most / 100)


def portioned(plate: Plate) -> list[Portioned]:
    """Every item of every dish on the plate with the share of it that is eaten."""
    return [
        Portioned(item, each.share, each.portion.dish.title, place, each.portion)
        for place, each in enumerate(map(served, plate.portions))
        for item in each.items
    ]


def mix(items: Iterable[Portioned], draws: Draws) -> list[Part]:
    """The parts of a plate, in the order of its lines."""
    listed = list(items)
    dishes: dict[int, list[Portioned]] = {}
    for each in listed:
        dishes.setdefault(each.place, []).append(each)
    shares = {place: _eaten(dish, draws) for place, dish in dishes.items()}
    return [_part(each, shares[each.place], draws) for each in listed]


def _eaten(dish: list[Portioned], draws: Draws) -> Amounts:
    """The share of a dish that is eaten, drawn where it is only about so much.

    A portion by weight weighs what it weighs: where the dish turns out heavier, the share is the smaller.
    """
    first = dish[0]
    share = draws.of(f"portion:{first.dish}:{first.place}", first.spread) if first.spread else first.share
    if first.portion is None or first.portion.amount is None:
        return share
    weights = [each.item.grams for each in dish if each.item.grams]
    middle = sum(each.range.value for each in weights)
    whole = total(cases_of(each, draws) for each in weights)
    least = middle * NEXT_TO_NOTHING
    return share * (middle / (max(whole, least) if isinstance(whole, float) else np.maximum(whole, least)))


def _part(portion: Portioned, share: Amounts, draws: Draws) -> Part:
    item = portion.item
    grams = cases_of(item.grams, draws) * share if item.grams else None
    if item.key is None:
        return Part(portion, grams, dict.fromkeys(Group), None, {})
    known = composition(item.key)
    loads = {group: _load(item.key, group, known[group], grams, draws) for group in Group}
    balance = loads[Group.EXCESS_FRUCTOSE]
    if balance is not None:
        loads[Group.EXCESS_FRUCTOSE] = _above_zero(balance)
    limits = {group: found.high for group, found in known.items() if found and found.counts_as_zero}
    weight = mean(grams) if grams is not None else 0.0
    return Part(portion, grams, loads, balance, {group: weight * high / 100 for group, high in limits.items()})


def _load(key: FoodKey, group: Group, estimate: Estimate | None, grams: Amounts | None, draws: Draws) -> Amounts | None:
    if estimate is None:
        return None
    if estimate.counts_as_zero:
        return 0.0
    if grams is None:
        return None
    content = draws.of(f"content:{key}:{group}", estimate, signed=group is Group.EXCESS_FRUCTOSE)
    return grams * content / 100


def cases_of(grams: Grams, draws: Draws) -> Amounts:
    """The cases of a weight: its factors drawn by identity, multiplied and added."""
    whole: Amounts = 0.0
    for term in grams.terms:
        product: Amounts = 1.0
        for factor in term:
            product = product * draws.of(factor.identity, factor.range)
        whole = whole + product
    return whole


def _above_zero(amounts: Amounts) -> Amounts:
    return max(0.0, amounts) if isinstance(amounts, float) else np.maximum(amounts, 0.0)


def total(amounts: Iterable[Amounts]) -> Amounts:
    """The sum of cases; 0 for none."""
    result: Amounts = 0.0
    for each in amounts:
        result = each if isinstance(result, float) and result == 0.0 else result + each
    return result


def mean(amounts: Amounts) -> float:
    """The mean of the cases."""
    return amounts if isinstance(amounts, float) else float(amounts.mean())


def percentile(amounts: Amounts, share: float) -> float:
    """The case below which `share` of all cases lie."""
    if isinstance(amounts, float):
        return amounts
    place = min(len(amounts) - 1, int(share * len(amounts)))
    return float(np.partition(amounts, place)[place])


def spread(amounts: Amounts) -> Range:
    """Median, 5 % and 95 % points of the cases, never negative."""
    if isinstance(amounts, float):
        return Range(amounts, amounts, amounts)
    # A full sort: for these sizes it takes half the time of a partition at three places (measured, numpy 2.4).
    ordered = np.sort(amounts)
    size = len(amounts)
    low, middle, high = (max(0.0, float(ordered[place])) for place in (int(0.05 * size), size // 2, int(0.95 * size)))
    return Range(middle, low, high)


def share_below(amounts: Amounts, limit: float) -> float:
    """The share of cases strictly below a limit."""
    if isinstance(amounts, float):
        return float(amounts < limit)
    return float(np.count_nonzero(amounts < limit) / len(amounts))


def highest(amounts: Amounts) -> float:
    """The highest of all cases."""
    return amounts if isinstance(amounts, float) else float(amounts.max())
