"""The restriction profile against the published cut-offs for one food: cutoffs.csv, with the paper of every row."""

from __future__ import annotations

from pathlib import Path

import pytest

from lowsimmer.domain.limits import Verdict
from lowsimmer.loads.judge import verdict
from lowsimmer.reference.limits import profile
from lowsimmer.reference.table import rows

CUTOFFS = list(rows(str(Path(__file__).parent / "cutoffs.csv")))
COMPONENTS = {"excess fructose": "excess-fructose", "total polyols": "polyols"}
CLASSES = {
    "core grain products, legumes, nuts, seeds": {"core"},
    "vegetables, fruit, every other food": {"produce", "other"},
    "any": {"*"},
    "fresh fruit and vegetables, only when it is the sole FODMAP present": {"produce"},
}

Cell = tuple[str, str, bool]


def published() -> dict[Cell, tuple[float, str]]:
    """(component, food class, sole) -> grams and source."""
    return {
        (COMPONENTS.get(row["component"], row["component"]), each, "sole" in row["food_class"]): (
            float(row["limit_g"]),
            row["source"],
        )
        for row in CUTOFFS
        for each in CLASSES[row["food_class"]]
    }


def built_in(name: str) -> dict[Cell, float]:
    return {(limit.component, limit.food_class, limit.sole): limit.grams for limit in profile(name).foods}


@pytest.mark.parametrize("cell", sorted(published()), ids=str)
def test_a_published_cut_off_is_in_the_profile(cell: Cell) -> None:
    grams, source = published()[cell]
    assert built_in("restriction")[cell] == grams, f"{cell}: {source}"


def test_the_profile_holds_no_other_cut_off() -> None:
    assert set(built_in("restriction")) == set(published()), "more than Varney 2017 gives"


def test_maintenance_has_the_same_cut_offs_three_times_as_large() -> None:
    """The ratio is a working assumption of ours, stated in profiles.csv; here only that it is kept throughout."""
    assert built_in("maintenance") == pytest.approx({cell: 3 * grams for cell, (grams, _) in published().items()})


@pytest.mark.parametrize("cell", sorted(published()), ids=str)
def test_low_means_strictly_below(cell: Cell) -> None:
    grams, source = published()[cell]
    assert verdict(grams, 0.0, grams) is Verdict.OVER, source
    assert verdict(grams - 0.001, 0.0, grams) is Verdict.WITHIN, source
