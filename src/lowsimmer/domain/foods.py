"""A food in a stated form, and what is known of its composition.

*Form* is half of the name: canned-drained is not boiled, a green top is not a bulb. Content is grams per 100 g
of that form. An `Estimate` is the pooled answer for one food, form and analyte; `None` in its place means that
nobody has a figure.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from lowsimmer.domain.errors import RecordError
from lowsimmer.domain.pedigree import Evidence, Pedigree


class FoodKey(NamedTuple):
    """What identifies a row of the catalogue: the food and its form."""

    food: str
    form: str

    def __str__(self) -> str:
        return f"{self.food} ({self.form})"


@dataclass(frozen=True, slots=True)
class Food:
    """One row of the catalogue.

    `kind` is the shelf it stands on (vegetable, allium, legume ...); the limit class and the zeros that are facts
    follow from it. `allergens` are what the food itself holds; `check_label` says what a packet can hide.
    """

    key: FoodKey
    label: str
    kind: str
    limit_class: str
    family: str = ""
    allergens: frozenset[str] = frozenset()
    check_label: str = ""

    def __post_init__(self) -> None:
        if not (self.key.food and self.key.form and self.label and self.kind):
            raise RecordError(f"a food needs key, form, label and kind: {self.key}")


@dataclass(frozen=True, slots=True)
class Observation:
    """One published figure for one food, form and analyte, g per 100 g; `low`/`high` as the source gives them."""

    key: FoodKey
    analyte: str
    value: float
    low: float | None
    high: float | None
    sd: float | None
    n: int | None
    qualifier: str
    pedigree: Pedigree
    decision: str

    @property
    def used(self) -> bool:
        """True when the figure takes part in the estimate; otherwise `decision` gives the reason why not."""
        return self.decision == "used"


NOT_FOUND_BELOW = 0.2  # g per 100 g: the usual limit of the assays; also the strictest published cut-off in 100 g


@dataclass(frozen=True, slots=True)
class Estimate:
    """The pooled content of one analyte, g per 100 g, with what it rests on.

    `value`, `low`, `high` as in `Range`, but the fructose balance may be negative. `grade` is the best
    evidence among the figures it rests on. `reason` tells how it was made; `behind` holds the figures.
    """

    value: float
    low: float
    high: float
    grade: Evidence
    reason: str
    behind: tuple[Observation, ...] = ()
    source: str = ""

    def __post_init__(self) -> None:
        if not -100 <= self.low <= self.value <= self.high <= 100:
            raise RecordError(
                f"an estimate is g per 100 g with low <= value <= high: {self.low} {self.value} {self.high}"
            )

    def rests_on(self, evidence: Evidence) -> bool:
        """True when a figure known in this way takes part."""
        return any(each.used and each.pedigree.evidence is evidence for each in self.behind)

    @property
    def known_zero(self) -> bool:
        """True when the content is a fact of zero, without a range."""
        return self.low == 0 == self.high

    @property
    def counts_as_zero(self) -> bool:
        """True for a zero, and for a content that was looked for and not found above NOT_FOUND_BELOW.

        Counting every detection limit as if it might be there would make a plate of rice and carrots fail on limits
        alone; the limits are kept beside the load as what traces could add at the most.
        """
        return self.low == 0 == self.value and self.high <= NOT_FOUND_BELOW
