"""The retail packages: every row names a form of the catalogue and sizes that make sense."""

from __future__ import annotations

from lowsimmer.reference.catalogue import foods, packages
from lowsimmer.reference.table import rows, sources

REGIONS = {"", "us", "uk", "au", "nz"}


def test_every_package_belongs_to_a_food_and_form() -> None:
    assert set(packages()) <= set(foods())


def test_sizes_are_in_order_and_within_a_kitchen() -> None:
    wrong = [
        row
        for row in rows("packages.csv")
        if not 0 < float(row["low"]) <= float(row["grams"]) <= float(row["high"]) < 3e4
    ]
    assert wrong == []


def test_regions_and_sources_resolve() -> None:
    wrong = [row for row in rows("packages.csv") if row["region"] not in REGIONS or row["source"] not in sources()]
    assert wrong == []


def test_most_of_what_a_cook_buys_has_one() -> None:
    assert len({key.food for key in packages()}) >= 500
