"""Loads against limits: the four verdict words and the largest serving.

*Within limit*: at least nine cases in ten below. *Over limit*: at least nine in ten at or above. *Too close to call*:
neither. *Not enough data*: what is known would be within, but what is unknown could change that. The unknown is
bounded by the highest content on the food's shelf; where even that bound stays within, the verdict stands and
the unknown grams are still shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from lowsimmer.domain.foods import Food, FoodKey
from lowsimmer.domain.groups import Group, members
from lowsimmer.domain.limits import Driver, FoodLoad, Largest, Limit, LimitProfile, Load, Verdict
from lowsimmer.loads.mix import Amounts, highest, mean, percentile, share_below, spread
from lowsimmer.loads.pile import Pile
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import composition
from lowsimmer.reference.own import OwnFigures, bearing_on

SURE = 0.9
MINOR = 0.02  # a driver with a smaller share of the load is not listed
MOST_DRIVERS = 6
# g per 100 g: a group that counts as absent beside excess fructose (our reading of 'sole'): the rounding of tables.
NEXT_TO_NIL = 0.05
NOTABLE = 0.25  # of a cut-off: a food that never reaches it is not listed


def judge(pile: Pile, limit: Limit) -> Load:
    """The load of one component over a whole plate."""
    summed = pile.sum(limit.component)
    missing = pile.missing(limit.component)
    weighed = [part for part in missing if part.grams is not None]
    return Load(
        component=limit.component,
        range=spread(summed.known),
        limit=limit,
        verdict=verdict(summed.known, summed.worst, limit.grams),
        below=share_below(summed.known, limit.grams),
        drivers=_drivers(pile, limit.component, summed.known),
        unknown_g=sum(mean(part.grams) for part in weighed if part.grams is not None),
        unknown_foods=tuple(dict.fromkeys(part.item.label for part in weighed)),
        unknown_lines=tuple(part.item.line.text for part in missing if part.grams is None),
        traces_g=sum(part.traces.get(group, 0.0) for part in pile.parts for group in members(limit.component)),
        bounded=bool(missing) and summed.worst is not None and share_below(summed.worst, limit.grams) >= SURE,
    )


def verdict(known: Amounts, worst: Amounts | None, limit: float) -> Verdict:
    """The verdict word for cases of a known load and its worst bound."""
    below = share_below(known, limit)
    if 1 - below >= SURE - 1e-12:
        return Verdict.OVER
    if below < SURE:
        return Verdict.TOO_CLOSE
    if worst is None or share_below(worst, limit) < SURE:
        return Verdict.NOT_ENOUGH
    return Verdict.WITHIN


def _drivers(pile: Pile, component: str, known: Amounts) -> tuple[Driver, ...]:
    """The lines that make the load, largest mean first, with their share of it."""
    whole = mean(known)
    if whole <= 0:
        return ()
    loads = [(part, part.known(component)) for part in pile.parts]
    ranked = sorted(((mean(load) / whole, part, load) for part, load in loads), key=lambda each: -each[0])
    return tuple(
        Driver(part.item.line.text, part.item.label, spread(load), share * whole, share)
        for share, part, load in ranked[:MOST_DRIVERS]
        if share >= MINOR
    )


def judge_foods(pile: Pile, profile: LimitProfile) -> tuple[FoodLoad, ...]:
    """Each food of the plate (all its lines together) against the cut-offs of its class that it comes near to."""
    return tuple(load for key, food in pile.foods.items() for load in _one_food(key, food, profile))


def _one_food(key: FoodKey, pile: Pile, profile: LimitProfile) -> list[FoodLoad]:
    found: list[FoodLoad] = []
    for limit in limits_for(key, profile):
        summed = pile.sum(limit.component)
        if summed.worst is None or highest(summed.worst) < NOTABLE * limit.grams:
            continue
        word = verdict(summed.known, summed.worst, limit.grams)
        label = foods()[key].label
        found.append(FoodLoad(label, spread(pile.grams), limit.component, spread(summed.known), limit, word))
    return found


def limits_for(key: FoodKey, profile: LimitProfile) -> tuple[Limit, ...]:
    """The cut-offs that hold for one food: of its class, the sole-group one in place of the other where it applies."""
    return _limits_for(key, profile, bearing_on(key.food))


@lru_cache(maxsize=4096)
def _limits_for(key: FoodKey, profile: LimitProfile, _figures: OwnFigures | None) -> tuple[Limit, ...]:
    food = foods()[key]
    mine = [each for each in profile.foods if each.food_class in {"*", food.limit_class}]
    sole = {each.component for each in mine if each.sole and _sole(food, each.component)}
    return tuple(each for each in mine if each.sole == (each.component in sole))


def _sole(food: Food, component: str) -> bool:
    """True when the food holds no other group to speak of, in any serving: each other one known and next to nil."""
    known = composition(food.key)
    others = [known[group] for group in Group if group not in members(component)]
    return all(estimate is not None and estimate.value <= NEXT_TO_NIL for estimate in others)


def largest(pile: Pile, profile: LimitProfile, by_what_is_known: bool = False) -> Largest:
    """The multiple of this serving at which the first limit is reached in one case of ten.

    Loads grow in proportion to the serving, so the answer is limit / (90 % point of the load), the least over all
    limits. Unknown content counts with its bound; where it has none, there is no answer. `by_what_is_known` leaves the
    unknown out of account: an answer that has to be told as such.
    """
    best = Largest(float("inf"), "")
    for part, limit in _all_limits(pile, profile):
        summed = part.sum(limit.component)
        counted = summed.known if by_what_is_known else summed.worst
        if counted is None:
            return Largest(None, limit.component, reason=_missing(part, limit.component))
        if best.times is None or highest(counted) * best.times <= limit.grams:
            continue
        top = percentile(counted, SURE)
        if top > 0 and limit.grams / top < best.times:
            best = Largest(limit.grams / top, limit.component, unknown=_holding_down(part, limit.component, top))
    return best


def _holding_down(pile: Pile, component: str, top: float) -> tuple[str, ...]:
    """The foods without a figure, when their bound raises the 90 % point by a tenth or more."""
    if percentile(pile.sum(component).known, SURE) >= 0.9 * top:
        return ()
    return tuple(dict.fromkeys(part.item.label for part in pile.missing(component)))


def _all_limits(pile: Pile, profile: LimitProfile) -> Iterator[tuple[Pile, Limit]]:
    for limit in profile.plate:
        yield pile, limit
    for key, food in pile.foods.items():
        for limit in limits_for(key, profile):
            yield food, limit


def _missing(pile: Pile, component: str) -> str:
    names = [part.item.line.text for part in pile.missing(component) if part.grams is None]
    return f"no weight for: {'; '.join(names)}"
