"""A figure with its range: the only way a quantity travels in this program.

`value` is the central figure (the median), `low` and `high` bound nine cases in ten: one case in twenty lies
below `low` and one in twenty above `high`. A figure known exactly has `low == value == high`.

Products of ranges are taken without drawing: the relative halves add in quadrature, as independent
errors do (JCGM 100:2008, 5.1.6, relative standard uncertainties of a product). The draws in `loads` do not
need that rule; it serves the readable answers of `read`, which must be fast.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from lowsimmer.domain.errors import RangeError


@dataclass(frozen=True, slots=True)
class Range:
    """A non-negative quantity: central value, 5 % bound, 95 % bound. Units belong to the holder.

    Raises RangeError when the three are out of order, negative or not finite.
    """

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.value <= self.high < math.inf:
            raise RangeError(f"a range needs 0 <= low <= value <= high, given {self.low}, {self.value}, {self.high}")

    @property
    def exact(self) -> bool:
        """True when the range has no width."""
        return self.low == self.high

    def scaled(self, factor: float) -> Range:
        """The range times a plain non-negative number."""
        return Range(self.value * factor, self.low * factor, self.high * factor)

    def __mul__(self, other: Range) -> Range:
        """The product of two independent ranges (quadrature of the relative halves)."""
        if other.exact:
            return self.scaled(other.value)
        if self.exact:
            return other.scaled(self.value)
        value = self.value * other.value
        if value == 0:
            return Range(0.0, self.low * other.low, self.high * other.high)
        down = math.hypot(1 - self.low / self.value, 1 - other.low / other.value)
        up = math.hypot(self.high / self.value - 1, other.high / other.value - 1)
        return Range(value, value * max(0.0, 1 - down), value * (1 + up))


def exactly(value: float) -> Range:
    """A range without width."""
    return Range(value, value, value)


def between(low: float, high: float) -> Range:
    """A range of which only the ends are known; the centre is their mean."""
    return Range((low + high) / 2, low, high)


def product(ranges: Iterable[Range]) -> Range:
    """The product of any number of independent ranges; 1 when there are none."""
    result = exactly(1.0)
    for each in ranges:
        result = result * each
    return result
