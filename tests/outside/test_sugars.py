"""Published sugars that were kept out of the catalogue against its pooled ones: sugars.csv (CoFID 2015, CNF 2015).

A figure agrees when it lies in the range of the estimate, widened by a quarter of the figure or half a gram: another
laboratory, another variety, another year. A food without a figure of its own in the catalogue is not compared.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

from lowsimmer.domain.foods import Estimate, FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import composition, observations
from lowsimmer.reference.pooling import pool
from lowsimmer.reference.table import rows

Row = dict[str, str]

SUGARS = list(rows(str(Path(__file__).parent / "sugars.csv")))
HELD_OUT = {"cofid2015", "cnf2015"}
FLOOR = 0.95  # 131 of 136
NARROW_FLOOR = 0.82  # 113 of 136


def estimate(row: Row) -> Estimate | None:
    key = FoodKey(row["food"], row["form"])
    if row["analyte"] == "lactose":
        return composition(key)[Group.LACTOSE]
    return pool(observations().get((key, row["analyte"]), []))


@cache
def compared() -> tuple[tuple[str, float, Estimate], ...]:
    """(what and by whom, published figure, our estimate) of every figure that the catalogue can answer."""
    found = []
    for row in SUGARS:
        ours = estimate(row)
        if ours is not None:
            what = f"{row['analyte']} of {row['food']} ({row['form']}), {row['source']}, {row['locator']}"
            found.append((what, float(row["g_per_100g"]), ours))
    return tuple(found)


def agrees(figure: float, ours: Estimate, widened: bool = True) -> bool:
    margin = max(0.5, 0.25 * figure) if widened else 0.0
    return ours.low - margin <= figure <= ours.high + margin


def shown(what: str, figure: float, ours: Estimate) -> str:
    return f"{what}: {figure:g}, ours {ours.value:.3g} ({ours.low:.3g} to {ours.high:.3g}), {ours.reason}"


def share_of(widened: bool) -> tuple[float, str]:
    apart = [each for each in compared() if not agrees(each[1], each[2], widened)]
    return 1 - len(apart) / len(compared()), "\n".join(shown(*each) for each in apart)


def test_the_figures_were_not_used_to_build_the_catalogue() -> None:
    for (key, analyte), found in observations().items():
        if analyte in {"fructose", "glucose", "lactose", "fructose-balance"}:
            used = {each.pedigree.source for each in found if each.used}
            assert not used & HELD_OUT, f"{analyte} of {key} rests on a held-out source"
    assert {row["source"] for row in SUGARS} == HELD_OUT


def test_enough_figures_are_compared() -> None:
    assert all(FoodKey(row["food"], row["form"]) in foods() for row in SUGARS)
    assert len(compared()) >= 45, "CoFID 2015 and CNF 2015"
    assert sum(agrees(figure, ours) for _, figure, ours in compared()) >= 40


def test_the_share_of_published_sugars_that_agree(record_property: Callable[[str, object], None]) -> None:
    share, apart = share_of(widened=True)
    record_property("held-out sugars that agree", f"{share:.3f} of {len(compared())}")
    assert share >= FLOOR, f"{share:.1%} agree; apart:\n{apart}"


def test_the_share_inside_the_range_itself(record_property: Callable[[str, object], None]) -> None:
    """The range is meant to hold nine in ten; without any margin it holds somewhat fewer, as is shown here."""
    share, apart = share_of(widened=False)
    record_property("held-out sugars inside the range itself", f"{share:.3f} of {len(compared())}")
    assert share >= NARROW_FLOOR, f"{share:.1%}; outside:\n{apart}"
