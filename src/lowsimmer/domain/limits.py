"""Limit profiles, verdicts and loads."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lowsimmer.domain.errors import RecordError
from lowsimmer.domain.groups import members
from lowsimmer.domain.pedigree import Pedigree
from lowsimmer.domain.ranges import Range


class Verdict(StrEnum):
    """The four words. Nine draws in ten decide; see `loads.judge`."""

    OVER = "over limit"
    TOO_CLOSE = "too close to call"
    NOT_ENOUGH = "not enough data"
    WITHIN = "within limit"


_GRAVITY = {Verdict.OVER: 3, Verdict.TOO_CLOSE: 2, Verdict.NOT_ENOUGH: 1, Verdict.WITHIN: 0}


def gravest(verdicts: list[Verdict]) -> Verdict:
    """The verdict that rules when several limits apply: over, then too close, then not enough data, then within."""
    return max(verdicts, key=_GRAVITY.__getitem__, default=Verdict.WITHIN)


@dataclass(frozen=True, slots=True)
class Limit:
    """So many grams of one component (a group or a sum) per serving; `food_class` empty for the whole plate.

    `sole` marks a limit that holds only for a food without any other group.
    """

    component: str
    grams: float
    pedigree: Pedigree
    food_class: str = ""
    sole: bool = False

    def __post_init__(self) -> None:
        members(self.component)
        if not self.grams > 0:
            raise RecordError(f"a limit is more than nothing, given {self.grams}")


@dataclass(frozen=True, slots=True)
class LimitProfile:
    """A named set of limits: for each food in the serving, and for the plate."""

    name: str
    foods: tuple[Limit, ...]
    plate: tuple[Limit, ...]

    def for_plate(self, component: str) -> Limit:
        """The plate's limit for one component. Raises KeyError when the profile has none."""
        return next(each for each in self.plate if each.component == component)


@dataclass(frozen=True, slots=True)
class Driver:
    """One line's part in a load: grams of the component per serving, their mean, and its share of the whole mean."""

    line: str
    food: str
    range: Range
    mean: float
    share: float


@dataclass(frozen=True, slots=True)
class Load:
    """Grams of one component in one serving, against its limit.

    `unknown_g` are grams of food without a figure for it; `unknown_lines` those whose weight is unknown too.
    `traces_g` is the most that groups looked for and not found could add. `bounded` is True when the unknown could
    not change the verdict even at the highest content known on its shelf.
    """

    component: str
    range: Range
    limit: Limit
    verdict: Verdict
    below: float
    drivers: tuple[Driver, ...]
    unknown_g: float
    unknown_foods: tuple[str, ...]
    unknown_lines: tuple[str, ...]
    bounded: bool
    traces_g: float = 0.0

    @property
    def nothing_known(self) -> bool:
        """True when no known content adds to it while something unknown might: then it is unknown, not zero."""
        return self.range.high == 0 and not self.bounded and (self.unknown_g > 0 or bool(self.unknown_lines))

    @property
    def share(self) -> float:
        """Central load as a share of the limit."""
        return self.range.value / self.limit.grams


@dataclass(frozen=True, slots=True)
class FoodLoad:
    """One food of the serving against the published cut-off of its class."""

    food: str
    grams: Range
    component: str
    range: Range
    limit: Limit
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Largest:
    """The largest serving that still fits: a multiple of the serving, what stops it, and why it may be missing.

    `times` is None when data are missing for an answer (`reason` says which) and infinite when nothing limits it.
    `unknown` names the foods whose missing figures hold it down: with figures the answer would be larger.
    """

    times: float | None
    stopped_by: str
    grams: float | None = None
    reason: str = ""
    unknown: tuple[str, ...] = ()
