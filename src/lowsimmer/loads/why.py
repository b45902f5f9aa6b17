"""One group of a plate taken apart: which line, how many grams, which content, which published figures."""

from __future__ import annotations

from dataclasses import dataclass

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.foods import Estimate
from lowsimmer.domain.groups import Group, members
from lowsimmer.domain.limits import Load
from lowsimmer.domain.masses import Grams
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.mix import Part, mean, spread
from lowsimmer.reference.evidence import Cell, cell
from lowsimmer.reference.own import using


@dataclass(frozen=True, slots=True)
class Origin:
    """One line's part: the weight and what it is made of, the content and the figures behind it, the load.

    `cell` is None for a line that is not matched to a food. `share_range` is there when the portion is only
    about so much.
    """

    line: str
    group: Group
    food: str
    dish: str
    weight: Range | None
    grams: Grams | None
    share_eaten: float
    cell: Cell | None
    load: Range | None
    share_range: Range | None = None

    @property
    def estimate(self) -> Estimate | None:
        """The content; None for an unknown one and for a line that is not matched."""
        return self.cell.estimate if self.cell else None


@dataclass(frozen=True, slots=True)
class Explained:
    """A load with the origin of every part of it, the largest first; lines that add nothing are only named."""

    title: str
    load: Load
    origins: tuple[Origin, ...]
    nothing: tuple[str, ...]


def explain(result: Assessment, group: str) -> Explained:
    """Take one group, or a sum of groups, apart. Raises InputError for a word that is neither."""
    name = group.strip().lower().replace(" ", "-")
    if name not in result.loads:
        raise InputError(f"'{group}' is not a FODMAP group.", f"Use one of {', '.join(result.loads)}.")
    parts = sorted(result.parts, key=lambda part: -mean(part.known(name)))
    matters = [part for part in parts if part.unknown(name) or mean(part.known(name)) > 0]
    nothing = tuple(part.item.label for part in parts if part not in matters)
    with using(result.figures):
        origins = tuple(_origin(part, which) for part in matters for which in members(name) if _adds(part, which))
    return Explained(result.title, result.loads[name], origins, nothing)


def _adds(part: Part, group: Group) -> bool:
    load = part.loads[group]
    return load is None or mean(load) > 0


def _origin(part: Part, group: Group) -> Origin:
    load = part.loads[group]
    return Origin(
        line=part.item.line.text.strip(),
        group=group,
        food=part.item.label,
        dish=part.portioned.dish,
        weight=spread(part.grams) if part.grams is not None else None,
        grams=part.item.grams,
        share_eaten=part.portioned.share,
        cell=cell(part.key, group) if part.key else None,
        load=spread(load) if load is not None else None,
        share_range=part.portioned.spread,
    )
