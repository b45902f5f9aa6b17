"""A dish or a plate through the whole computation: the door that commands and pages use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lowsimmer.domain.findings import Finding, Kind, Severity, caution, note
from lowsimmer.domain.groups import SUMS, Group
from lowsimmer.domain.limits import FoodLoad, Largest, LimitProfile, Load, Verdict, gravest
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.draws import Draws
from lowsimmer.loads.judge import judge, judge_foods, largest
from lowsimmer.loads.mix import Part, mean, mix, portioned, spread, total
from lowsimmer.loads.pile import Pile
from lowsimmer.reference.catalogue import cautions
from lowsimmer.reference.composition import composition
from lowsimmer.reference.limits import profile as named_profile
from lowsimmer.reference.own import OwnFigures, in_use

COMPONENTS = (*(group.value for group in Group), *SUMS)
WEIGHTY = 0.1  # a recalled figure is worth a finding when it carries a tenth of the limit or more


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything known of one serving of a dish, or of one plate; `figures` are the own ones that were in use."""

    title: str
    serves: float | None
    profile: LimitProfile
    parts: tuple[Part, ...]
    serving: Range
    unweighed: tuple[str, ...]
    loads: dict[str, Load]
    foods: tuple[FoodLoad, ...]
    balance: Range | None
    verdict: Verdict
    largest: Largest
    findings: tuple[Finding, ...]
    figures: OwnFigures | None

    @property
    def allergens(self) -> tuple[str, ...]:
        """What the matched foods themselves hold; packets may add to it and unmatched lines are not covered."""
        return tuple(sorted({each for part in self.parts if part.item.food for each in part.item.food.allergens}))


def assess_dish(dish: Dish, profile: str = "restriction", draws: Draws | None = None) -> Assessment:
    """One serving of a dish."""
    plate = Plate(dish.title, (Portion(dish, 1.0),), dish.findings)
    return replace(assess_plate(plate, profile, draws), serves=dish.serves)


def assess_plate(plate: Plate, profile: str = "restriction", draws: Draws | None = None) -> Assessment:
    """One sitting: portions of several dishes added up."""
    return assess_parts(plate, mix(portioned(plate), draws or Draws()), named_profile(profile))


def assess_parts(plate: Plate, parts: Sequence[Part], profile: LimitProfile) -> Assessment:
    """The judgement of parts that are already mixed; the same parts may be judged by several profiles."""
    pile = Pile(parts)
    loads = {component: judge(pile, profile.for_plate(component)) for component in COMPONENTS}
    foods = judge_foods(pile, profile)
    serving = spread(pile.grams)
    most = largest(pile, profile)
    word = gravest([*(each.verdict for each in loads.values()), *(each.verdict for each in foods)])
    return Assessment(
        title=plate.title,
        serves=None,
        profile=profile,
        parts=tuple(parts),
        serving=serving,
        unweighed=tuple(part.item.line.text for part in parts if part.grams is None),
        loads=loads,
        foods=foods,
        balance=_plate_balance(parts),
        verdict=word,
        largest=replace(most, grams=_times(most.times, serving)),
        findings=(*_about_people(profile), *plate.findings, *_gathered(parts), *_about_figures(parts, loads)),
        figures=in_use(),
    )


def _times(times: float | None, serving: Range) -> float | None:
    return times * serving.value if times is not None and times != float("inf") else None


def _plate_balance(parts: Sequence[Part]) -> Range | None:
    """Free fructose left when the glucose of every food is set against it; None when a balance is unknown.

    Shown beside the cautious sum and never used for a verdict: that glucose helps is shown for absorption, not for
    symptoms (Murray 2014).
    """
    if any(part.balance is None for part in parts):
        return None
    summed = total(part.balance for part in parts if part.balance is not None)
    return spread(max(0.0, summed) if isinstance(summed, float) else summed.clip(min=0.0))


def _about_people(profile: LimitProfile) -> list[Finding]:
    """The usual cautions of a diet that keeps to this profile: who should see a doctor, and who should not restrict."""
    told = cautions().get(f"profile:{profile.name}", ())
    return [caution(Kind.CAUTION, row["sentence"], "", row["next_step"]) for row in told]


def _gathered(parts: Sequence[Part]) -> list[Finding]:
    """The findings of all items, each once, cautions and questions first."""
    found = dict.fromkeys(finding for part in parts for finding in part.item.findings)
    order = {Severity.CAUTION: 0, Severity.ASK: 1, Severity.NOTE: 2}
    return sorted(found, key=lambda each: order[each.severity])


def _about_figures(parts: Sequence[Part], loads: dict[str, Load]) -> list[Finding]:
    return [*_unknown_figures(parts), *_recalled_figures(parts, loads), *_own_figures(parts)]


def _unknown_figures(parts: Sequence[Part]) -> list[Finding]:
    """One finding a food, naming the groups without a figure."""
    found = {}
    for part in parts:
        missing = [group.label for group in Group if part.loads[group] is None]
        if part.key is not None and part.grams is not None and missing:
            sentence = f"{part.item.label}: no figure for {', '.join(missing)}."
            found[part.key] = note(Kind.NO_FIGURE, sentence, part.item.line.text, "Its grams count as unknown.")
    return list(found.values())


def _recalled_figures(parts: Sequence[Part], loads: dict[str, Load]) -> list[Finding]:
    found = {}
    for part in parts:
        recalled = [group for group in Group if _leans_on_memory(part, group, loads[group].limit.grams)]
        if part.key is not None and recalled:
            groups = ", ".join(group.label for group in recalled)
            sentence = f"{part.item.label}: recalled from its source, not read again: {groups}."
            found[part.key] = note(Kind.RECALLED_FIGURE, sentence, part.item.line.text, "See why.")
    return list(found.values())


def _own_figures(parts: Sequence[Part]) -> list[Finding]:
    """One finding a food that an own figure bears on, naming its groups; also where a form is derived from one."""
    found = {}
    for part in parts:
        known = composition(part.key) if part.key and in_use() else {}
        groups = ", ".join(group.label for group, each in known.items() if each and each.rests_on(Evidence.OWN))
        if part.key is not None and groups:
            sentence = f"{part.item.label}: the practitioner's own figures bear on {groups}."
            found[part.key] = note(Kind.OWN_FIGURE, sentence, part.item.line.text, "See why.")
    return list(found.values())


def _leans_on_memory(part: Part, group: Group, limit: float) -> bool:
    load = part.loads[group]
    estimate = composition(part.key)[group] if part.key else None
    if load is None or estimate is None or estimate.grade is not Evidence.MEMORY:
        return False
    return mean(load) >= WEIGHTY * limit
