"""What the practitioner's own figures would change: cell by cell, and in the loads of dishes. Nothing is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from lowsimmer.domain.foods import Estimate, Food, FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.loads.assess import Assessment
from lowsimmer.reference.catalogue import foods, forms
from lowsimmer.reference.composition import SET_ASIDE, Composition, composition
from lowsimmer.reference.own import OwnFigures, using

DERIVED = "derived"
GONE = "gone"


@dataclass(frozen=True, slots=True)
class CellChange:
    """One food, form and group before and after.

    `rank` is that of the own figures for it, first or beside; derived where none is for this form, but another form
    that it is derived from has one; gone where only the figures before had one.
    """

    food: Food
    group: Group
    rank: str
    before: Estimate | None
    after: Estimate | None

    @property
    def set_aside(self) -> int:
        """How many figures of the catalogue no longer count."""
        return sum(each.decision == SET_ASIDE for each in self.after.behind) if self.after else 0

    @property
    def pooled(self) -> int:
        """How many figures of the catalogue take part beside own ones."""
        behind = self.after.behind if self.after else ()
        return sum(each.used and each.pedigree.evidence is not Evidence.OWN for each in behind)


@dataclass(frozen=True, slots=True)
class DishChange:
    """One dish or meal before and after."""

    file: str
    before: Assessment
    after: Assessment


@dataclass(frozen=True, slots=True)
class Preview:
    """The figures of a file, the cells that they bear on, and the dishes that were asked about."""

    figures: OwnFigures
    cells: tuple[CellChange, ...]
    dishes: tuple[DishChange, ...]


def preview(
    figures: OwnFigures,
    files: Sequence[str],
    assess: Callable[[str], Assessment],
    instead: OwnFigures | None = None,
) -> Preview:
    """Everything with and without the figures; `assess` makes the assessment of one file.

    `instead` are figures that were in use until now and that these take the place of; None is the catalogue alone.
    """
    dishes = tuple(_dish(figures, instead, file, assess) for file in files)
    return Preview(figures, tuple(_cells(figures, instead)), dishes)


def _dish(
    figures: OwnFigures, instead: OwnFigures | None, file: str, assess: Callable[[str], Assessment]
) -> DishChange:
    with using(instead):
        before = assess(file)
    with using(figures):
        return DishChange(file, before, assess(file))


def _cells(figures: OwnFigures, instead: OwnFigures | None) -> Iterator[CellChange]:
    """The cells with an own figure, and those that change with them, in the order of the file."""
    for food in figures.foods | (instead.foods if instead else {}):
        for form in forms()[food]:
            key = FoodKey(food, form)
            before, after = _contents(instead, key), _contents(figures, key)
            for group in Group:
                rank = figures.rank(key, group)
                if rank or before[group] != after[group]:
                    gone = instead is not None and instead.rank(key, group)
                    rank = rank or (GONE if gone else DERIVED)
                    yield CellChange(foods()[key], group, rank, before[group], after[group])


def _contents(figures: OwnFigures | None, key: FoodKey) -> Composition:
    with using(figures):
        return composition(key)
