"""The load of each component taken apart by dish: what a stacked bar is made of."""

from __future__ import annotations

from dataclasses import dataclass

from lowsimmer.domain.limits import Load
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.assess import COMPONENTS, Assessment
from lowsimmer.loads.mix import Part, mean, spread, total


@dataclass(frozen=True, slots=True)
class Piece:
    """What one dish brings to a component: its range, its mean and its share of the whole mean (0 of nothing).

    `unknown` is True when the dish holds a food without a figure for it.
    """

    dish: str
    place: int
    range: Range
    mean: float
    share: float
    unknown: bool


@dataclass(frozen=True, slots=True)
class Stack:
    """One component with its pieces in the order of the plate, also those that bring nothing."""

    component: str
    load: Load
    pieces: tuple[Piece, ...]


def stacks(result: Assessment) -> tuple[Stack, ...]:
    """One stack a component."""
    dishes: dict[int, list[Part]] = {}
    for part in result.parts:
        dishes.setdefault(part.portioned.place, []).append(part)
    return tuple(_stack(component, result.loads[component], dishes) for component in COMPONENTS)


def _stack(component: str, load: Load, dishes: dict[int, list[Part]]) -> Stack:
    brought = {place: total(part.known(component) for part in parts) for place, parts in dishes.items()}
    whole = sum(mean(each) for each in brought.values())
    return Stack(
        component,
        load,
        tuple(
            Piece(
                parts[0].portioned.dish,
                place,
                spread(brought[place]),
                mean(brought[place]),
                mean(brought[place]) / whole if whole > 0 else 0.0,
                any(part.unknown(component) for part in parts),
            )
            for place, parts in dishes.items()
        ),
    )
