"""The limit profiles of the data file."""

from __future__ import annotations

from functools import cache

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.limits import Limit, LimitProfile
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.reference.table import rows


@cache
def profiles() -> dict[str, LimitProfile]:
    """Every profile by its name."""
    table = list(rows("profiles.csv"))
    names = dict.fromkeys(row["profile"] for row in table)
    return {name: _profile(name, [row for row in table if row["profile"] == name]) for name in names}


def profile(name: str) -> LimitProfile:
    """One profile by name; InputError with the known names otherwise."""
    if name not in profiles():
        raise InputError(f"No limit profile is called '{name}'.", f"Known profiles: {', '.join(profiles())}.")
    return profiles()[name]


def _profile(name: str, table: list[dict[str, str]]) -> LimitProfile:
    return LimitProfile(
        name,
        foods=tuple(_limit(row) for row in table if row["scope"] == "food"),
        plate=tuple(_limit(row) for row in table if row["scope"] == "plate"),
    )


def _limit(row: dict[str, str]) -> Limit:
    evidence = Evidence.PRACTICE if row["source"] == "practice" else Evidence(row["evidence"])
    pedigree = Pedigree(row["source"], evidence, "", row["note"])
    return Limit(row["component"], float(row["limit_g"]), pedigree, row["food_class"], row["sole"] == "yes")
