"""Loads against limits: the four verdict words and the largest serving.

*Within limit*: at least nine cases in ten below. *Over limit*: at least nine in ten at or above. *Too close to call*:
neither. *Not enough data*: what is known would be within, but what is unknown could change that. The unknown is
bounded by the highest content on the food's shelf; where even that bound stays within, the verdict stands and
the unknown grams are still shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lowsimmer.domain.foods import Food
from lowsimmer.domain.groups import Group, members
from lowsimmer.domain.limits import Driver, FoodLoad, Largest, Limit, LimitProfile, Load, Verdict
from lowsimmer.loads.mix import Amounts, Part, highest, mean, percentile, share_below, spread, total
from lowsimmer.reference.composition import composition

SURE = 0.9
MINOR = 0.02  # a driver with a smaller share of the load is not listed
MOST_DRIVERS = 8
NEXT_TO_NIL = 0.02  # g per 100 g: a group that counts as absent beside excess fructose (our reading of 'sole FODMAP')
NOTABLE = 0.25  # of a cut-off: a food that never reaches it is not listed


@dataclass(frozen=True, slots=True)
class _Sum:
    """The cases of one component: what is known, and known plus the bound on what is not (None: no bound)."""

    known: Amounts
    worst: Amounts | None


def judge(parts: Sequence[Part], limit: Limit) -> Load:
    """The load of one component over all parts of a plate."""
    component = limit.component
    summed = _summed(parts, component)
    missing = [part for part in parts if part.unknown(component)]
    weighed = [part for part in missing if part.grams is not None]
    return Load(
        component=component,
        range=spread(summed.known),
        limit=limit,
        verdict=verdict(summed.known, summed.worst, limit.grams),
        below=share_below(summed.known, limit.grams),
        drivers=_drivers(parts, component, summed.known),
        unknown_g=sum(mean(part.grams) for part in weighed if part.grams is not None),
        unknown_foods=tuple(dict.fromkeys(part.item.label for part in weighed)),
        unknown_lines=tuple(part.item.line.text for part in missing if part.grams is None),
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


def _summed(parts: Sequence[Part], component: str) -> _Sum:
    known = total(part.known(component) for part in parts)
    bounds = [part.worst(component) for part in parts if part.unknown(component)]
    if any(bound is None for bound in bounds):
        return _Sum(known, None)
    return _Sum(known, known + total(bound for bound in bounds if bound is not None))


def _drivers(parts: Sequence[Part], component: str, known: Amounts) -> tuple[Driver, ...]:
    """The lines that make the load, largest mean first, with their share of it."""
    whole = mean(known)
    if whole <= 0:
        return ()
    loads = [(part, part.known(component)) for part in parts]
    ranked = sorted(((mean(load) / whole, part, load) for part, load in loads), key=lambda each: -each[0])
    return tuple(
        Driver(part.item.line.text, part.item.label, spread(load), share)
        for share, part, load in ranked[:MOST_DRIVERS]
        if share >= MINOR
    )


def judge_foods(parts: Sequence[Part], profile: LimitProfile) -> tuple[FoodLoad, ...]:
    """Each food of the plate (all its lines together) against the cut-offs of its class that it comes near to."""
    foods: dict[object, list[Part]] = {}
    for part in parts:
        if part.key is not None and part.grams is not None:
            foods.setdefault(part.key, []).append(part)
    return tuple(load for group in foods.values() for load in _one_food(group, profile))


def _one_food(parts: list[Part], profile: LimitProfile) -> list[FoodLoad]:
    found: list[FoodLoad] = []
    for limit in limits_for(parts, profile):
        summed = _summed(parts, limit.component)
        if summed.worst is not None and highest(summed.worst) < NOTABLE * limit.grams:
            continue
        word = verdict(summed.known, summed.worst, limit.grams)
        grams = spread(total(part.grams for part in parts if part.grams is not None))
        found.append(FoodLoad(parts[0].item.label, grams, limit.component, spread(summed.known), limit, word))
    return found


def limits_for(parts: list[Part], profile: LimitProfile) -> list[Limit]:
    """The cut-offs that hold for one food: of its class, the sole-group one in place of the other where it applies."""
    food = parts[0].item.food
    assert food is not None
    mine = [each for each in profile.foods if each.food_class in {"*", food.limit_class}]
    sole = {each.component for each in mine if each.sole and _sole(food, each.component)}
    return [each for each in mine if each.sole == (each.component in sole)]


def _sole(food: Food, component: str) -> bool:
    """True when the food holds no other group to speak of, in any serving: each other one known and next to nil."""
    known = composition(food.key)
    others = [known[group] for group in Group if group not in members(component)]
    return all(estimate is not None and estimate.value <= NEXT_TO_NIL for estimate in others)


def largest(parts: Sequence[Part], profile: LimitProfile) -> Largest:
    """The multiple of this serving at which the first limit is reached in one case of ten.

    Loads grow in proportion to the serving, so the answer is limit / (90 % point of the load), the least over all
    limits. Unknown content counts with its bound; where it has none, there is no answer.
    """
    best = Largest(float("inf"), "")
    for subset, limit in _all_limits(parts, profile):
        summed = _summed(subset, limit.component)
        if summed.worst is None:
            return Largest(None, limit.component, reason=_missing(subset, limit.component))
        top = percentile(summed.worst, SURE)
        if top > 0 and best.times is not None and limit.grams / top < best.times:
            unknown = _holding_down(subset, limit.component, summed, top)
            best = Largest(limit.grams / top, limit.component, unknown=unknown)
    return best


def _holding_down(parts: Sequence[Part], component: str, summed: _Sum, top: float) -> tuple[str, ...]:
    """The foods without a figure, when their bound raises the 90 % point by a tenth or more."""
    if percentile(summed.known, SURE) >= 0.9 * top:
        return ()
    return tuple(dict.fromkeys(part.item.label for part in parts if part.unknown(component)))


def _all_limits(parts: Sequence[Part], profile: LimitProfile) -> list[tuple[Sequence[Part], Limit]]:
    found: list[tuple[Sequence[Part], Limit]] = [(parts, limit) for limit in profile.plate]
    foods: dict[object, list[Part]] = {}
    for part in parts:
        if part.key is not None:
            foods.setdefault(part.key, []).append(part)
    found += [(group, limit) for group in foods.values() for limit in limits_for(group, profile)]
    return found


def _missing(parts: Sequence[Part], component: str) -> str:
    names = [part.item.line.text for part in parts if part.unknown(component) and part.grams is None]
    return f"no weight for: {'; '.join(names)}"
