"""Servings by phase, in words: how much fits, and what to leave out where too little does.

This is what the practitioner says at the end of a recipe: half a serving in restriction, two servings in maintenance,
and without the shallot a whole one at once.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from lowsimmer.domain.groups import component_label
from lowsimmer.domain.limits import Largest, LimitProfile, Verdict
from lowsimmer.domain.lines import Dish
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.judge import largest
from lowsimmer.loads.mix import Part, mean
from lowsimmer.loads.pile import Pile
from lowsimmer.reference.limits import profiles

PHASES = ("restriction", "maintenance")
PLENTY = 4.0  # servings at one sitting beyond which nobody needs a limit
SMALLEST = 0.05  # of a serving: less than that is no answer
MOST_LEFT_OUT = 4
SPOON_G = 15.0  # a level tablespoon of a dip or sauce, about 1 g/ml (common practice, no source)


@dataclass(frozen=True, slots=True)
class PhaseServing:
    """What one phase allows of this serving: the largest multiple, what to leave out for a whole one, in words."""

    phase: str
    verdict: Verdict
    largest: Largest
    leave_out: tuple[str, ...]
    words: str


def phase_servings(assessed: dict[str, Assessment], dish: Dish | None) -> list[PhaseServing]:
    """One entry a phase. `assessed` holds the assessment by each phase's profile; `dish` gives pieces and spoons."""
    return [_phase(name, assessed[name], dish) for name in PHASES]


def _phase(name: str, result: Assessment, dish: Dish | None) -> PhaseServing:
    profile = profiles()[name]
    known = largest(Pile(result.parts), profile, by_what_is_known=True)
    leave_out = _leave_out(result.parts, profile, known)
    sentence = _sentence(known, result, dish) + _not_counted(known, result.largest)
    if leave_out:
        sentence += f" A whole serving fits without: {'; '.join(leave_out)}."
    return PhaseServing(name, result.verdict, result.largest, leave_out, sentence)


def _not_counted(known: Largest, sure: Largest) -> str:
    """What the answer leaves out of account, when that could make it smaller."""
    if sure.times is None:
        return f" Not counted: {sure.reason}."
    if sure.unknown and known.times is not None and sure.times < known.times and sure.times < PLENTY:
        group = component_label(sure.stopped_by)
        return f" Not counted: {', '.join(sure.unknown)}, for which no figure for {group} is known."
    return ""


def _leave_out(parts: Sequence[Part], profile: LimitProfile, most: Largest) -> tuple[str, ...]:
    """The fewest lines, by the largest part in what stops the serving each time, whose absence lets a whole one fit."""
    if most.times is None or most.times >= 1:
        return ()
    kept, gone = list(parts), list[str]()
    while most.times is not None and most.times < 1 and len(gone) < MOST_LEFT_OUT:
        component = most.stopped_by
        worst = max(kept, key=lambda part: mean(part.known(component)))
        kept.remove(worst)
        gone.append(worst.item.label)
        most = largest(Pile(kept), profile, by_what_is_known=True)
    enough = kept and most.times is not None and most.times >= 1
    return tuple(gone) if enough else ()


def _sentence(most: Largest, result: Assessment, dish: Dish | None) -> str:
    if most.times is None or most.times == float("inf"):
        return "No limit is reached: nothing in it is known to count towards one."
    if most.times >= PLENTY:
        return f"More than {PLENTY:g} servings fit in one sitting."
    stop = component_label(most.stopped_by)
    if most.times < SMALLEST:
        return f"Not even a twentieth of a serving fits; {stop} is far over its limit."
    amount = _serving_words(_rounded_down(most.times), result, dish)
    return f"Up to {amount} in one sitting; {stop} is the first limit reached."


def _serving_words(times: float, result: Assessment, dish: Dish | None) -> str:
    """Servings, their grams, and pieces or spoons where the dish has them."""
    grams = times * result.serving.value
    words = [f"{times:g} serving{'' if times == 1 else 's'} ({_about(grams)} g of ingredients"]
    if dish is not None:
        words += _pieces(times, dish) + _spoons(grams, dish)
    return ", ".join(words) + ")"


def _rounded_down(times: float) -> float:
    """Down to quarters of a serving; below a quarter to twentieths."""
    step = 0.25 if times >= 0.25 else SMALLEST
    return round(int(times / step + 1e-9) * step, 2)


def _about(grams: float) -> str:
    return f"{int(grams / 5) * 5}" if grams >= 20 else f"{grams:.0f}"


def _pieces(times: float, dish: Dish) -> list[str]:
    makes = re.match(r"\s*(\d+(?:\.\d+)?)\s*(.*)", dish.extra.get("makes", ""))
    if makes is None:
        return []
    count = int(times * float(makes.group(1)) / dish.serves + 1e-9)
    word = makes.group(2).strip() or "pieces"
    return [f"{count} {word.removesuffix('s') if count == 1 else word}"]


def _spoons(grams: float, dish: Dish) -> list[str]:
    if dish.extra.get("serve_by") != "spoon":
        return []
    spoons = int(grams / SPOON_G)
    return [f"{spoons} level tablespoon{'' if spoons == 1 else 's'}"]
