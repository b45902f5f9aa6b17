"""One group of a plate taken apart: which line, how many grams, which content, which published figures."""

from __future__ import annotations

from dataclasses import dataclass

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.foods import Estimate
from lowsimmer.domain.groups import Group
from lowsimmer.domain.limits import Load
from lowsimmer.domain.masses import Grams
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.mix import Part, mean, spread
from lowsimmer.reference.composition import composition


@dataclass(frozen=True, slots=True)
class Origin:
    """One line's part: the weight and what it is made of, the content and the figures behind it, the load."""

    line: str
    food: str
    dish: str
    weight: Range | None
    grams: Grams | None
    share_eaten: float
    estimate: Estimate | None
    load: Range | None


@dataclass(frozen=True, slots=True)
class Explained:
    """A load with the origin of every part of it, the largest first; lines that add nothing are only named."""

    title: str
    load: Load
    origins: tuple[Origin, ...]
    nothing: tuple[str, ...]


def explain(result: Assessment, group: str) -> Explained:
    """Take one group apart. Raises InputError for a word that is no group."""
    if group not in {each.value for each in Group}:
        raise InputError(f"'{group}' is not a FODMAP group.", f"Use one of {', '.join(each.value for each in Group)}.")
    which = Group(group)
    parts = sorted(result.parts, key=lambda part: -_weight(part, which))
    matters = [part for part in parts if part.loads[which] is None or _weight(part, which) > 0]
    nothing = tuple(part.item.label for part in parts if part not in matters)
    return Explained(result.title, result.loads[group], tuple(_origin(part, which) for part in matters), nothing)


def _weight(part: Part, group: Group) -> float:
    load = part.loads[group]
    return 0.0 if load is None else mean(load)


def _origin(part: Part, group: Group) -> Origin:
    load = part.loads[group]
    return Origin(
        line=part.item.line.text.strip(),
        food=part.item.label,
        dish=part.portioned.dish,
        weight=spread(part.grams) if part.grams is not None else None,
        grams=part.item.grams,
        share_eaten=part.portioned.share,
        estimate=composition(part.key)[group] if part.key else None,
        load=spread(load) if load is not None else None,
    )
