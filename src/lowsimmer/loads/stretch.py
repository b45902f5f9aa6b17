"""What could be larger on a plate, and what must shrink: for each dish, with all others as they are.

Loads are linear in a portion: what the other dishes bring, plus t times what this one brings. In each case there is one
t at which a limit is reached, so the largest t that keeps nine cases in ten below it is a point of those, and the
least over all limits is the answer. No search, no rounding. The limits are those of `judge`, for the plate and for
every single food on it. As with the largest serving, there is a sure answer, in which unknown content counts with its
bound, and one by what is known.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lowsimmer.domain.foods import FoodKey
from lowsimmer.domain.limits import Limit, LimitProfile
from lowsimmer.domain.lines import Portion
from lowsimmer.loads.judge import SURE, limits_for
from lowsimmer.loads.mix import Amounts, Part, highest, mean, total
from lowsimmer.loads.pile import Pile
from lowsimmer.reference.catalogue import foods

ENDLESS = 1e100  # a multiple beyond this is none
TINY = 1e-200  # grams: what a case without any of it is divided by, so that it is never reached
MATTERS = 0.1  # of the bound on what is unknown: a food with less of it is not named


@dataclass(frozen=True, slots=True)
class Reach:
    """How far one portion goes: its multiple at which the first limit is reached, and which limit that is.

    `times` is infinite when nothing stops it, 0 when a limit is not kept even without the dish, None when no bound can
    be given for a line without a weight. `food` is the single food whose cut-off it is, empty for the whole plate.
    """

    times: float | None
    component: str = ""
    food: str = ""


@dataclass(frozen=True, slots=True)
class Stretch:
    """How large one dish of a plate may be when the others stay as they are.

    `grams` is what its portion weighs now. `sure` counts the unknown with its bound, `known` leaves it out of account;
    `unknown` and `unweighed` name the foods and the lines that make them differ.
    """

    dish: str
    place: int
    portion: Portion | None
    grams: float
    sure: Reach
    known: Reach
    unknown: tuple[str, ...] = ()
    unweighed: tuple[str, ...] = ()


class _Watched:
    """One limit and the piles that count towards it, by dish."""

    def __init__(self, limit: Limit, food: str, piles: dict[int, Pile]) -> None:
        self.limit, self.food, self.piles = limit, food, piles
        self._worst = {place: pile.sum(limit.component).worst for place, pile in piles.items()}
        self._known = {place: pile.sum(limit.component).known for place, pile in piles.items()}
        # True when some line has neither a figure nor a weight, so that nothing bounds it.
        self.open = any(each is None for each in self._worst.values())
        self._peaks = [
            {place: highest(each) if each is not None else float("inf") for place, each in sums.items()}
            for sums in (self._known, self._worst)
        ]

    def far(self, place: int, times: float, sure: bool) -> bool:
        """True when the limit cannot be reached at this multiple of a dish; most limits are far away."""
        peaks = self._peaks[sure]
        rest = sum(each for at, each in peaks.items() if at != place)
        mine = peaks.get(place, 0.0)
        return rest + (times * mine if mine else 0.0) < self.limit.grams

    def most(self, place: int, sure: bool) -> float:
        """The multiple of a dish that this limit allows; below zero when it allows none."""
        sums = {at: each for at, each in (self._worst if sure else self._known).items() if each is not None}
        return reached(sums.pop(place, 0.0), total(sums.values()), self.limit.grams)

    def missing(self) -> list[Part]:
        """The parts without a figure for it, those that could hold the most first."""
        found = [part for pile in self.piles.values() for part in pile.missing(self.limit.component)]
        return sorted(found, key=self._bound, reverse=True)

    def _bound(self, part: Part) -> float:
        worst = part.worst(self.limit.component)
        return float("inf") if worst is None else mean(worst)

    def unknown(self) -> tuple[str, ...]:
        """The foods without a figure that could hold a tenth or more of all that is not known."""
        weighed = [part for part in self.missing() if part.grams is not None]
        whole = sum(map(self._bound, weighed))
        return tuple(dict.fromkeys(part.item.label for part in weighed if self._bound(part) >= MATTERS * whole))


def reached(mine: Amounts, fixed: Amounts, limit: float) -> float:
    """The multiple of `mine` at which a limit is reached in one case of ten; infinite, or below zero, where never."""
    room = limit - fixed
    if isinstance(mine, float) and isinstance(room, float):
        times = room / max(mine, TINY)
    else:
        cases = room / np.maximum(mine, TINY)
        place = max(0, len(cases) - 1 - int(SURE * len(cases)))
        times = float(np.partition(cases, place)[place])
    return float("inf") if times > ENDLESS else times


def stretch(parts: Sequence[Part], profile: LimitProfile) -> tuple[Stretch, ...]:
    """Every dish of a plate, in its order. A dish without a line is left out."""
    dishes: dict[int, list[Part]] = {}
    for part in parts:
        dishes.setdefault(part.portioned.place, []).append(part)
    piles = {place: Pile(mine) for place, mine in dishes.items()}
    watched = list(_watched(piles, profile))
    return tuple(_one(place, pile, watched) for place, pile in piles.items())


def _watched(piles: dict[int, Pile], profile: LimitProfile) -> Iterator[_Watched]:
    """Every limit of the plate, then those of its single foods."""
    for limit in profile.plate:
        yield _Watched(limit, "", piles)
    keys: dict[FoodKey, None] = dict.fromkeys(key for pile in piles.values() for key in pile.foods)
    for key in keys:
        held = {place: pile.foods[key] for place, pile in piles.items() if key in pile.foods}
        for limit in limits_for(key, profile):
            yield _Watched(limit, foods()[key].label, held)


def _one(place: int, pile: Pile, watched: Sequence[_Watched]) -> Stretch:
    eaten = pile.parts[0].portioned
    known, _ = _first(place, watched, sure=False)
    sure, stop = _first(place, watched, sure=True)
    unweighed = _without_weight(watched)
    return Stretch(
        dish=eaten.dish,
        place=place,
        portion=eaten.portion,
        grams=mean(pile.grams),
        sure=Reach(None) if unweighed else sure,
        known=known,
        unknown=stop.unknown() if stop and (sure.times or 0.0) < 0.9 * (known.times or 0.0) else (),
        unweighed=unweighed,
    )


def _without_weight(watched: Iterable[_Watched]) -> tuple[str, ...]:
    """The lines that have neither a weight nor figures."""
    parts = (part for each in watched if each.open for part in each.missing() if part.grams is None)
    return tuple(dict.fromkeys(part.item.line.text.strip() for part in parts))


def _first(place: int, watched: Iterable[_Watched], sure: bool) -> tuple[Reach, _Watched | None]:
    """The limit that is reached first when one dish grows, or that is not kept without it."""
    best, stop = float("inf"), None
    for each in watched:
        if (sure and each.open) or each.far(place, best, sure):
            continue
        most = max(0.0, each.most(place, sure))
        if most < best:
            best, stop = most, each
    return (Reach(best, stop.limit.component, stop.food) if stop else Reach(best)), stop
