"""Missing figures by how much depends on them: which foods and groups of the dishes at hand have no estimate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lowsimmer.domain.foods import FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.loads.mix import Portioned, portioned
from lowsimmer.reading.meal import open_plate
from lowsimmer.reference.composition import composition
from lowsimmer.reference.evidence import Cell, cell


@dataclass(frozen=True, slots=True)
class Gap:
    """One food, form and group without an estimate, and the files whose dishes or meals hold the food.

    `grams` is how much of the food a serving holds, the mean over those files; lines without a weight add nothing.
    """

    cell: Cell
    files: tuple[str, ...]
    grams: float

    @property
    def most(self) -> float:
        """Grams of the group that a serving could hold at the most, by the ceiling of the unknown."""
        return self.grams * (self.cell.bound or 0.0) / 100


@dataclass(frozen=True, slots=True)
class Gaps:
    """The gaps of all files, those that most files depend on first; lines that no food was found for."""

    files: tuple[str, ...]
    gaps: tuple[Gap, ...]
    unmatched: tuple[tuple[str, str], ...]


def find_gaps(names: Iterable[str]) -> Gaps:
    """Read dishes and meals and rank what is missing. Raises InputError for a file that cannot be used."""
    files = tuple(dict.fromkeys(names))
    items = {name: portioned(_plate(open_plate(name))) for name in files}
    held: dict[FoodKey, dict[str, float]] = {}
    for name, parts in items.items():
        for part in parts:
            if part.item.key is not None:
                grams = held.setdefault(part.item.key, {})
                grams[name] = grams.get(name, 0.0) + _grams(part)
    found = [gap for key, grams in held.items() for gap in _gaps_of(key, grams)]
    found.sort(key=lambda gap: (-len(gap.files), -gap.grams, gap.cell.key, list(Group).index(gap.cell.group)))
    lost = [(name, part.item.line.text.strip()) for name, parts in items.items() for part in parts if not part.item.key]
    return Gaps(files, tuple(found), tuple(lost))


def _gaps_of(key: FoodKey, grams: dict[str, float]) -> list[Gap]:
    mean = sum(grams.values()) / len(grams)
    missing = [group for group, estimate in composition(key).items() if estimate is None]
    return [Gap(cell(key, group), tuple(grams), mean) for group in missing]


def _grams(part: Portioned) -> float:
    return part.item.grams.range.value * part.share if part.item.grams else 0.0


def _plate(given: Dish | Plate) -> Plate:
    return given if isinstance(given, Plate) else Plate(given.title, (Portion(given, 1.0),))
