"""Everything that is known of one cell of the catalogue, and every source with what was taken from it.

A `Cell` is one food, form and group with its estimate and all the figures that were found, those that were set aside
included: also where the estimate is a zero by rule, comes from another form, or where there is none at all.
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.foods import Estimate, FoodKey, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import ANALYTE_OF, ceiling, composition, observations, watery
from lowsimmer.reference.table import rows, sources

UNBOUNDED = 100.0  # g per 100 g: what `ceiling` says where nothing bounds a content
_PARTS = {"gos": ("raffinose", "stachyose", "verbascose"), "fructose-balance": ("fructose", "glucose")}


@dataclass(frozen=True, slots=True)
class Cell:
    """One food, form and group.

    `figures` are on the scale of the estimate, used ones first; figures of another form stand there when the estimate
    is derived from it. `aside` are set-aside figures of a part (raffinose of GOS, glucose of a balance), on a scale of
    their own. `bound` is the ceiling of an unknown, g per 100 g, and `bound_from` says where it comes from; None and
    empty where there is an estimate.
    """

    key: FoodKey
    label: str
    group: Group
    estimate: Estimate | None
    figures: tuple[Observation, ...]
    aside: tuple[Observation, ...] = ()
    bound: float | None = None
    bound_from: str = ""

    @property
    def set_aside(self) -> tuple[Observation, ...]:
        """Every figure that was found for this cell and not used."""
        return (*(each for each in self.figures if not each.used), *self.aside)


def cell(key: FoodKey, group: Group) -> Cell:
    """Everything known of one food, form and group. Raises KeyError for a food that is not in the catalogue."""
    estimate = composition(key)[group]
    label = foods()[key].label
    figures, aside = _figures(key, group, estimate), _parts_aside(key, group)
    if estimate is not None:
        return Cell(key, label, group, estimate, figures, aside)
    return Cell(key, label, group, None, figures, aside, ceiling(key, group), _bound_from(key, group))


def _figures(key: FoodKey, group: Group, estimate: Estimate | None) -> tuple[Observation, ...]:
    """Those behind the estimate, and those of the cell itself that do not stand behind it; used ones first."""
    behind = estimate.behind if estimate else ()
    own = [each for each in observations().get((key, ANALYTE_OF[group]), ()) if each not in behind]
    return tuple(sorted((*behind, *own), key=lambda each: not each.used))


def _parts_aside(key: FoodKey, group: Group) -> tuple[Observation, ...]:
    parts = _PARTS.get(ANALYTE_OF[group], ())
    return tuple(each for part in parts for each in observations().get((key, part), ()) if not each.used)


def _bound_from(key: FoodKey, group: Group) -> str:
    """Where the ceiling of an unknown comes from, in words."""
    bound, kind = ceiling(key, group), foods()[key].kind
    if bound >= UNBOUNDED:
        return "nothing is known on its shelf or in its family"
    if bound == watery().get(kind):
        return "the carbohydrate that its kind can hold"
    return "highest known on its shelf or in its family"


@dataclass(frozen=True, slots=True)
class SourceUse:
    """One source and what was taken from it: rows of the observation files, as columns of text."""

    key: str
    row: dict[str, str]
    figures: Sequence[dict[str, str]]

    @property
    def used(self) -> int:
        """How many of its figures take part in an estimate."""
        return sum(each["decision"] == "used" for each in self.figures)

    @property
    def set_aside(self) -> int:
        """How many of its figures were set aside."""
        return len(self.figures) - self.used


@cache
def source_uses() -> dict[str, SourceUse]:
    """Source key -> the source and its figures, for every source of the project."""
    figures: dict[str, list[dict[str, str]]] = {key: [] for key in sources()}
    for row in rows("observations"):
        figures.setdefault(row["source"], []).append(row)
    return {key: SourceUse(key, sources()[key], tuple(figures[key])) for key in sorted(sources())}


def source_use(key: str) -> SourceUse:
    """One source by its key; InputError with near keys otherwise."""
    if key in source_uses():
        return source_uses()[key]
    near = difflib.get_close_matches(key.lower(), source_uses(), n=3)
    hint = f"Near keys: {', '.join(near)}." if near else "See 'lowsimmer sources' for all keys."
    raise InputError(f"No source is called '{key[:60]}'.", hint)
