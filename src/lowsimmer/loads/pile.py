"""The parts of a plate as one pile that can be asked for sums, each worked out once.

The same sums are needed for the verdict, for the drivers and for the largest serving; adding ten thousand cases is what
an assessment spends its time on, so a pile remembers them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from lowsimmer.domain.foods import FoodKey
from lowsimmer.loads.mix import Amounts, Part, total


@dataclass(frozen=True, slots=True)
class Sum:
    """The cases of one component: what is known, and known plus the bound on what is not (None: no bound)."""

    known: Amounts
    worst: Amounts | None


class Pile:
    """Parts of a plate, or of one food on it."""

    def __init__(self, parts: Sequence[Part]) -> None:
        self.parts = tuple(parts)
        self._sums: dict[str, Sum] = {}

    def sum(self, component: str) -> Sum:
        """The known load of a component and its worst bound."""
        if component not in self._sums:
            self._sums[component] = self._added(component)
        return self._sums[component]

    def _added(self, component: str) -> Sum:
        known = total(part.known(component) for part in self.parts)
        bounds = [part.worst(component) for part in self.parts if part.unknown(component)]
        if any(bound is None for bound in bounds):
            return Sum(known, None)
        return Sum(known, known + total(bound for bound in bounds if bound is not None) if bounds else known)

    @cached_property
    def foods(self) -> dict[FoodKey, Pile]:
        """The matched foods of the pile, each with all its lines."""
        found: dict[FoodKey, list[Part]] = {}
        for part in self.parts:
            if part.key is not None:
                found.setdefault(part.key, []).append(part)
        return {key: Pile(parts) for key, parts in found.items()}

    @cached_property
    def grams(self) -> Amounts:
        """The known weight of the pile."""
        return total(part.grams for part in self.parts if part.grams is not None)

    def missing(self, component: str) -> list[Part]:
        """The parts without a figure for some group of the component."""
        return [part for part in self.parts if part.unknown(component)]
