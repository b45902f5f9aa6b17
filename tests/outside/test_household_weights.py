"""Lines as an American cook types them, weighed, against household_weights.csv (USDA SR28 weight file).

The catalogue serves cooks of several countries, so for some foods its own figure lies between the USDA one and others
(a medium onion, a large egg); the share that agrees is therefore measured, and its floor stands just below.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lowsimmer.domain.ranges import Range
from lowsimmer.measuring.weigh import Item, items_of
from lowsimmer.reading.line import reader
from lowsimmer.reference.table import rows

Row = dict[str, str]

LINES = list(rows(str(Path(__file__).parent / "household_weights.csv")))
FLOOR = 0.85  # 123 of 144 lines, 118 foods


def weighed(row: Row) -> Item:
    """The one item that the line names."""
    (item,) = items_of(reader().read(row["line"]), row["region"])
    return item


def grams(row: Row) -> Range | None:
    item = weighed(row)
    return item.grams.range if item.grams else None


def agrees(row: Row) -> bool:
    """The computed middle value is as near to the published weight as the row asks."""
    found, wanted = grams(row), float(row["grams"])
    return found is not None and abs(found.value - wanted) <= wanted * float(row["tolerance_percent"]) / 100


def shown(row: Row) -> str:
    found = grams(row)
    ours = f"{found.value:.1f} ({found.low:.1f} to {found.high:.1f}) g" if found else "no grams"
    return f"{row['line']!r}: {ours} of {weighed(row).key}; {row['grams']} g by {row['source']}, {row['locator']}"


def test_the_weights_of_at_least_sixty_foods_agree() -> None:
    foods = {weighed(row).key for row in LINES if agrees(row)}
    assert len(foods) >= 60, "USDA SR28 weight file"


def test_the_share_of_lines_that_agree(record_property: Callable[[str, object], None]) -> None:
    apart = [row for row in LINES if not agrees(row)]
    share = 1 - len(apart) / len(LINES)
    record_property("household weights that agree with USDA SR28", f"{share:.3f} of {len(LINES)} lines")
    assert share >= FLOOR, f"{share:.1%} agree; apart:\n" + "\n".join(map(shown, apart))


@pytest.mark.parametrize("row", LINES, ids=[row["line"] for row in LINES])
def test_the_published_weight_lies_in_the_range(row: Row) -> None:
    """Where the middle values differ, the range still has to cover the American weight (1 % for its rounding)."""
    found = grams(row)
    assert found is not None, shown(row)
    assert found.low * 0.99 <= float(row["grams"]) <= found.high * 1.01, shown(row)


@pytest.mark.parametrize("line", ["1 cup grated carrot", "1 cup shredded cabbage"])
def test_a_cut_before_the_name_chooses_the_density(line: str) -> None:
    (row,) = (each for each in LINES if each["line"] == line)
    assert agrees(row), shown(row)
