"""Where a number came from. No figure is shown without one of these behind it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lowsimmer.domain.errors import RecordError


class Evidence(StrEnum):
    """How a figure is known, strongest first."""

    SEEN = "seen"  # read in the source itself
    RULE = "rule"  # follows from what the thing is (no lactose outside milk), with a source for the rule
    DERIVED = "derived"  # computed from another form through a retained fraction and water
    MEMORY = "memory"  # recalled from the source, not read again: marked wherever it shows
    PRACTICE = "common practice"  # a fact of the trade without a published source
    OWN = "own"  # the practitioner's own figure

    @property
    def mark(self) -> str:
        """The words put behind a figure that needs a warning; empty for a figure that was read."""
        return _MARKS.get(self, "")


_MARKS = {
    Evidence.DERIVED: "derived",
    Evidence.MEMORY: "recalled, not re-read",
    Evidence.PRACTICE: "common practice, no source",
    Evidence.OWN: "own figure",
}


@dataclass(frozen=True, slots=True)
class Pedigree:
    """Source key, place in the source, evidence, and the rule or note that made the number of it."""

    source: str
    evidence: Evidence
    locator: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        if not self.source:
            raise RecordError("a pedigree needs a source key ('practice' where the trade has none)")

    def words(self) -> str:
        """One line for people: source, place, and the warning mark if there is one."""
        parts = [self.source, self.locator, self.evidence.mark and f"[{self.evidence.mark}]"]
        return ", ".join(part for part in parts if part)
