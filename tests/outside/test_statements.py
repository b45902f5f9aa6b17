"""Published statements of the form "so many grams of this food hold so much" against the catalogue: statements.csv.

A statement agrees when its range and ours overlap. Sources disagree among themselves, so the share is measured.
Only rows that were read in their source and whose figure is no input of the catalogue count (used_in_parts = no).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lowsimmer.domain.foods import Estimate, FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import composition
from lowsimmer.reference.table import rows

Row = dict[str, str]

STATEMENTS = list(rows(str(Path(__file__).parent / "statements.csv")))
INDEPENDENT = [row for row in STATEMENTS if row["used_in_parts"] == "no" and row["evidence"] == "seen"]
FLOOR = 0.95  # 54 of 56
CENTRE_FLOOR = 0.74  # 42 of 56


def content(row: Row) -> Estimate | None:
    return composition(FoodKey(row["food"], row["form"]))[Group(row["analyte"])]


def ours(row: Row) -> tuple[float, float, float] | None:
    """Low, middle and high grams in the stated amount; a fructose balance below zero is no excess."""
    found = content(row)
    if found is None:
        return None
    amount = float(row["grams"]) / 100
    low, middle, high = (max(0.0, each) * amount for each in (found.low, found.value, found.high))
    return low, middle, high


def agrees(row: Row) -> bool:
    found = ours(row)
    return found is not None and found[0] <= float(row["high"]) and found[2] >= float(row["low"])


def middle_agrees(row: Row) -> bool:
    found = ours(row)
    return found is not None and float(row["low"]) <= found[1] <= float(row["high"])


def shown(row: Row) -> str:
    found = ours(row)
    range_ = "unknown" if found is None else f"{found[1]:.3g} ({found[0]:.3g} to {found[2]:.3g})"
    stated = f"{row['grams_of_analyte']} ({row['low']} to {row['high']})"
    what = f"{row['analyte']} in {row['grams']} g {row['food']} ({row['form']})"
    return f"{what}: {range_} g, stated {stated} g by {row['source']}, {row['locator']}"


def share_of(rows_: list[Row], test: Callable[[Row], bool]) -> tuple[float, str]:
    apart = [row for row in rows_ if not test(row)]
    return 1 - len(apart) / len(rows_), "\n".join(map(shown, apart))


@pytest.mark.parametrize("row", STATEMENTS, ids=lambda row: f"{row['food']}-{row['analyte']}-{row['source'][:12]}")
def test_the_food_of_a_statement_is_in_the_catalogue(row: Row) -> None:
    assert FoodKey(row["food"], row["form"]) in foods(), row["source"]


def test_at_least_fifteen_independent_statements_agree() -> None:
    assert sum(agrees(row) for row in INDEPENDENT) >= 15


def test_the_share_of_independent_statements_that_agree(record_property: Callable[[str, object], None]) -> None:
    share, apart = share_of(INDEPENDENT, agrees)
    record_property("independent statements that agree", f"{share:.3f} of {len(INDEPENDENT)}")
    assert share >= FLOOR, f"{share:.1%} agree; apart:\n{apart}"


def test_the_middle_value_mostly_lies_in_the_stated_range(record_property: Callable[[str, object], None]) -> None:
    """Overlap alone could be bought with wide ranges; this is the stricter share."""
    share, apart = share_of(INDEPENDENT, middle_agrees)
    record_property("independent statements that hold our middle value", f"{share:.3f} of {len(INDEPENDENT)}")
    assert share >= CENTRE_FLOOR, f"{share:.1%}; outside:\n{apart}"
