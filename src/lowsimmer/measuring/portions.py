"""A portion by weight, spoon or cup, as a share of the weighed dish.

What is eaten is a share of the ingredients as they weigh together: 120 g of a dish of 600 g is a fifth of it. What
cooking drives off is not known, so a cooked portion holds a little more than is said here of a dish that loses water.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.lines import Amount, Portion
from lowsimmer.domain.ranges import Range, exactly
from lowsimmer.measuring.weigh import Item, weigh
from lowsimmer.reading.portion import MOST_SERVINGS
from lowsimmer.reference.weights import MIXED_DENSITY, measures

MOST_NAMED = 5


@dataclass(frozen=True, slots=True)
class Served:
    """A portion whose servings are known, and the items of its whole dish."""

    portion: Portion
    items: tuple[Item, ...]

    @property
    def share(self) -> float:
        """The share of the whole dish that is eaten, its middle where it is only about so much."""
        return (self.portion.servings or 0.0) / self.portion.dish.serves


def served(portion: Portion) -> Served:
    """Weigh the dish of a portion. Raises InputError for a portion by weight of a dish that has no whole weight."""
    items = weigh(portion.dish).items
    if portion.servings is not None or portion.amount is None:
        return Served(portion, items)
    whole = _whole(portion, items)
    servings = weight_of(portion.amount, portion.dish.region).scaled(portion.dish.serves / whole)
    if not 0 < servings.value <= MOST_SERVINGS:
        raise InputError(
            f"'{portion.words}' of '{portion.dish.title}' is {servings.value:.3g} servings of it.",
            f"A portion is more than nothing and at most {MOST_SERVINGS} servings.",
        )
    return Served(replace(portion, servings=servings.value, spread=None if servings.exact else servings), items)


def _whole(portion: Portion, items: tuple[Item, ...]) -> float:
    """Grams of the whole dish."""
    missing = list(dict.fromkeys(item.line.text.strip() for item in items if item.grams is None))
    whole = sum(item.grams.range.value for item in items if item.grams)
    if missing or not whole > 0:
        more = f" and {len(missing) - MOST_NAMED} more" if len(missing) > MOST_NAMED else ""
        why = f"no weight for {'; '.join(missing[:MOST_NAMED])}{more}" if missing else "it weighs nothing"
        raise InputError(
            f"'{portion.words}' of '{portion.dish.title}' cannot be known: {why}.",
            "Give those lines a weight, or the portion in servings.",
        )
    return whole


def weight_of(amount: Amount, region: str = "") -> Range:
    """Grams of an amount of a mixed dish; spoons and cups as they measure in the region of the dish."""
    table = measures()
    measure = table.get((amount.unit, region)) or table[amount.unit, ""]
    density = MIXED_DENSITY.range if measure.quantity == "ml" else exactly(1.0)
    number = amount.number if amount.heap is None else amount.number * amount.heap
    grams = number * measure.range * density
    if amount.plus is None:
        return grams
    more = weight_of(amount.plus, region)
    return Range(grams.value + more.value, grams.low + more.low, grams.high + more.high)
