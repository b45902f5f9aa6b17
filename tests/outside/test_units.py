"""The measure table against standards: units.csv, with the standard of every size."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from lowsimmer.reference.table import rows
from lowsimmer.reference.weights import measures

PARTS = {"half": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4)}
NOT_OURS = {"dry pint", "dry quart", "peck"}  # measures of a market, which recipes do not use
LABEL_ROUNDING = 0.015  # a food label of the United States rounds its cups and spoons by up to 1.5 %

SIZES = list(rows(str(Path(__file__).parent / "units.csv")))
KNOWN = [row for row in SIZES if row["measure"] not in NOT_OURS]


def ours(row: dict[str, str]) -> tuple[float, str]:
    """The size that the program gives to the same words, and whether in ml or g."""
    first, _, rest = row["measure"].partition(" ")
    share, unit = (PARTS[first], rest) if first in PARTS else (Fraction(1), row["measure"])
    region = {"us-label": "us", "si": ""}.get(row["region"], row["region"])
    figure = measures().get((unit, region)) or measures()[unit, ""]
    return float(share) * figure.range.value, figure.quantity


@pytest.mark.parametrize("row", KNOWN, ids=lambda row: f"{row['measure']}-{row['region']}")
def test_size_of_a_measure(row: dict[str, str]) -> None:
    size, quantity = ours(row)
    near = LABEL_ROUNDING if row["region"] == "us-label" else 1e-6
    told = f"{row['measure']} ({row['region']}): {size} {quantity}, but {row['ml_or_g']} by {row['source']}"
    assert quantity == row["unit"], told
    assert size == pytest.approx(float(row["ml_or_g"]), rel=near), told


def test_an_exact_measure_has_no_range() -> None:
    """What a standard fixes is not a matter of opinion: the sizes of the United States carry no spread."""
    wide = [unit for (unit, region), figure in measures().items() if region == "us" and not figure.range.exact]
    assert not wide, "exact by NIST Handbook 44 appendix C"


def test_enough_measures_are_held_against_a_standard() -> None:
    assert len(KNOWN) >= 35
