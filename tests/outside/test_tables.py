"""Published tables that were not used for the cells they check, against our estimates: tables/*.csv.

A figure agrees when it lies in the range of our estimate, widened by 0.3 g or a quarter of the figure, whichever is
more: another laboratory, another variety, another year. Where a table prints a range, its middle is the figure. A
food without a figure of its own in the catalogue is not compared. `polyols` is checked against our three groups of
polyols added, each with its own bounds.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from lowsimmer.domain.foods import Estimate, FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import composition, observations
from lowsimmer.reference.pooling import pool
from lowsimmer.reference.table import rows

Row = dict[str, str]

TABLES = {file.stem: list(rows(str(file))) for file in sorted((Path(__file__).parent / "tables").glob("*.csv"))}
GROUPS = {"lactose": Group.LACTOSE, "sorbitol": Group.SORBITOL, "mannitol": Group.MANNITOL, "fructan": Group.FRUCTAN}
POLYOLS = (Group.SORBITOL, Group.MANNITOL, Group.OTHER_POLYOLS)
FLOORS = {
    "ciqual2025": 0.96,  # 91 of 94
    "hendel_lactose": 0.94,  # 18 of 18
    "lebot1994": 0.65,  # 3 of 3
    "misselwitz2019": 0.90,  # 11 of 11
}
FLOOR = 0.97  # 123 of 126; 118 without any margin


def key_of(row: Row) -> FoodKey:
    return FoodKey(row["food"], row["form"])


def bounds(row: Row) -> tuple[float, float] | None:
    """Low and high of our estimate for the row's cell; None where the catalogue has no figure."""
    found = [pool(observations().get((key_of(row), row["analyte"]), []))]
    if row["analyte"] in GROUPS:
        found = [composition(key_of(row))[GROUPS[row["analyte"]]]]
    elif row["analyte"] == "polyols":
        found = [composition(key_of(row))[group] for group in POLYOLS]
    known: list[Estimate] = [each for each in found if each is not None]
    if len(known) < len(found):
        return None
    return sum(each.low for each in known), sum(each.high for each in known)


@cache
def compared(table: str) -> tuple[tuple[str, float, float, float], ...]:
    """(what and where, published figure, our low, our high) of every row that the catalogue can answer."""
    found = []
    for row in TABLES[table]:
        ours = bounds(row)
        if ours is not None:
            what = f"{row['analyte']} of {row['food']} ({row['form']}), {row['source']}, {row['locator']}"
            found.append((what, float(row["value"]), *ours))
    return tuple(found)


def agrees(figure: float, low: float, high: float, widened: bool = True) -> bool:
    margin = max(0.3, 0.25 * figure) if widened else 0.0
    return low - margin <= figure <= high + margin


def share_of(tables: list[str], widened: bool = True) -> tuple[float, int, str]:
    every = [each for table in tables for each in compared(table)]
    apart = [each for each in every if not agrees(*each[1:], widened)]
    words = "\n".join(f"{what}: {figure:g}, ours {low:.3g} to {high:.3g}" for what, figure, low, high in apart)
    return 1 - len(apart) / len(every), len(every), words


def test_there_are_three_tables_and_every_row_is_about_a_food_of_the_catalogue() -> None:
    assert len(TABLES) >= 3
    assert sum(len(compared(table)) for table in TABLES) >= 25
    assert all(key_of(row) in foods() for table in TABLES.values() for row in table)
    assert all(row["evidence"] == "seen" and row["locator"] for table in TABLES.values() for row in table)


def test_no_table_was_used_for_the_cells_it_checks() -> None:
    wanted = {"polyols": ("sorbitol", "mannitol", "other-polyol")}
    inside = [
        (row["source"], row["food"], row["form"], analyte)
        for table in TABLES.values()
        for row in table
        for analyte in wanted.get(row["analyte"], (row["analyte"],))
        for each in observations().get((key_of(row), analyte), [])
        if each.used and each.pedigree.source == row["source"]
    ]
    assert not inside, inside


@pytest.mark.parametrize("table", TABLES)
def test_the_share_of_figures_that_agree(table: str, record_property: Callable[[str, object], None]) -> None:
    share, count, apart = share_of([table])
    record_property(f"{table}: figures that agree", f"{share:.3f} of {count}")
    assert share >= FLOORS[table], f"{share:.1%} agree; apart:\n{apart}"


def test_the_share_over_all_tables(record_property: Callable[[str, object], None]) -> None:
    share, count, apart = share_of(list(TABLES))
    narrow, _, _ = share_of(list(TABLES), widened=False)
    record_property("outside tables: figures that agree", f"{share:.3f} of {count}; {narrow:.3f} without any margin")
    assert share >= FLOOR, f"{share:.1%} agree; apart:\n{apart}"
