"""The FODMAP groups, and the sums of groups that limits are written for.

A composition is kept by *analyte*: what a laboratory measures. Six analytes are groups as they stand.
Excess fructose is not measured but computed, so its analyte is the signed *fructose balance*
(fructose less glucose, both from one source): per food only the part above zero counts, while a whole
plate may also be shown with the free glucose of one food set against the free fructose of another.
"""

from __future__ import annotations

from enum import StrEnum


class Group(StrEnum):
    """One FODMAP group. The value is the key used in files and JSON."""

    FRUCTAN = "fructan"
    GOS = "gos"
    LACTOSE = "lactose"
    EXCESS_FRUCTOSE = "excess-fructose"
    SORBITOL = "sorbitol"
    MANNITOL = "mannitol"
    OTHER_POLYOLS = "other-polyols"

    @property
    def label(self) -> str:
        """The words shown to people."""
        return _LABELS[self]


_LABELS = {
    Group.FRUCTAN: "fructan",
    Group.GOS: "GOS",
    Group.LACTOSE: "lactose",
    Group.EXCESS_FRUCTOSE: "excess fructose",
    Group.SORBITOL: "sorbitol",
    Group.MANNITOL: "mannitol",
    Group.OTHER_POLYOLS: "other polyols",
}

# Sums that published limits are written for (Varney 2017: oligosaccharides, total polyols) and the total
# per sitting, which the trials gave without lactose (Halmos 2014).
SUMS: dict[str, tuple[Group, ...]] = {
    "oligosaccharides": (Group.FRUCTAN, Group.GOS),
    "polyols": (Group.SORBITOL, Group.MANNITOL, Group.OTHER_POLYOLS),
    "total": tuple(group for group in Group if group is not Group.LACTOSE),
}

SUM_LABELS = {
    "oligosaccharides": "fructan and GOS together",
    "polyols": "all polyols together",
    "total": "all groups but lactose",
}


def members(component: str) -> tuple[Group, ...]:
    """The groups that a limit's component adds up: one group by its key, or a named sum."""
    return SUMS[component] if component in SUMS else (Group(component),)


def component_label(component: str) -> str:
    """The words for a group or a sum of groups."""
    return SUM_LABELS[component] if component in SUM_LABELS else Group(component).label
