"""Ten thousand cases of every uncertain figure.

A figure with a range is two half normal distributions that meet at its central value, with the bounds at their 5 %
and 95 % points (a split normal with the median in the join), cut off at zero. Each *identity* (the weight of a clove,
the fructan of wheat flour) gets the same normal scores in an order of its own, seeded by its name: stratified, so the
mean is exact; independent between identities; the same for two lines that lean on one fact; repeatable for ever.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache
from statistics import NormalDist
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from lowsimmer.reference.pooling import Z90

Cases = NDArray[np.float64]

CASES = 10_000
SEED = 1
KEPT = 512  # shuffled orders kept in memory, 80 kB each at 10,000 cases


class Bounded(Protocol):
    """Anything with a central value and two bounds."""

    @property
    def value(self) -> float:
        """Central value."""

    @property
    def low(self) -> float:
        """5 % bound."""

    @property
    def high(self) -> float:
        """95 % bound."""


@lru_cache(maxsize=4)
def _scores(cases: int) -> Cases:
    """The normal scores of `cases` equal slices of probability, divided so that the 95 % point is one."""
    normal = NormalDist()
    scores = np.array([normal.inv_cdf((place + 0.5) / cases) for place in range(cases)]) / Z90
    scores.flags.writeable = False
    return scores


class Draws:
    """Makes the cases of figures; two with equal seed and number of cases make the same ones."""

    def __init__(self, cases: int = CASES, seed: int = SEED) -> None:
        self.cases = cases
        self.seed = seed

    def of(self, identity: str, figure: Bounded, signed: bool = False) -> Cases | float:
        """The cases of one figure; a plain number when it has no range."""
        if figure.low == figure.high:
            return figure.value
        scores = _shuffled(self.cases, self.seed, identity)
        up, down = figure.high - figure.value, figure.value - figure.low
        if down == 0:
            return figure.value + up * np.maximum(scores, 0.0)
        cases = figure.value + (scores * up if up == down else np.where(scores > 0, up, down) * scores)
        return cases if signed else np.maximum(cases, 0.0)


@lru_cache(maxsize=KEPT)
def _shuffled(cases: int, seed: int, identity: str) -> Cases:
    """The normal scores in the order of one identity; the last few hundred are kept, for dishes share their facts."""
    key = hashlib.blake2b(f"{seed}:{identity}".encode(), digest_size=16).digest()
    shuffled = np.random.Generator(np.random.PCG64(int.from_bytes(key, "big"))).permutation(_scores(cases))
    shuffled.flags.writeable = False
    return shuffled
