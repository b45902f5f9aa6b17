"""Grams as a product of named factors, so that every gram can be taken apart again.

"1/2 cup chopped onion" is 0.5 x 237 ml x 0.68 g/ml. Each `Factor` keeps its range, its pedigree and an *identity*:
two lines that lean on the same uncertain fact (the weight of a clove) name the same identity and are wrong together,
never independently. That is why splitting a line in two changes no sum and no range.
"""

from __future__ import annotations

from dataclasses import dataclass

from lowsimmer.domain.errors import RecordError
from lowsimmer.domain.pedigree import Pedigree
from lowsimmer.domain.ranges import Range, product


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor of a weight: what it is (identity), in which words, its range and where it comes from."""

    identity: str
    words: str
    range: Range
    pedigree: Pedigree


@dataclass(frozen=True, slots=True)
class Grams:
    """Edible grams: a sum of products of factors (one product, or more for "1 cup plus 2 tablespoons")."""

    terms: tuple[tuple[Factor, ...], ...]

    def __post_init__(self) -> None:
        if not self.terms or not all(self.terms):
            raise RecordError("grams need at least one factor")

    @property
    def range(self) -> Range:
        """Value, low and high in grams; the bounds of a sum are the sums of the bounds (errors shared)."""
        products = [product(factor.range for factor in term) for term in self.terms]
        return Range(sum(p.value for p in products), sum(p.low for p in products), sum(p.high for p in products))

    def words(self) -> str:
        """The weight taken apart, for people: `0.5 x 237 ml x 0.68 g/ml`."""
        return " + ".join(" x ".join(factor.words for factor in term) for term in self.terms)
