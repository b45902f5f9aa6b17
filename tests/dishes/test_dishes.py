"""Recipe text in, grams out: each .md file here is a dish, the .txt file beside it what the program makes of it.

A practitioner can read both. `UPDATE_SNAPSHOTS=1 pytest -n 0 tests/dishes` rewrites the .txt files; every change in
them is a change of somebody's grams and is read as one.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lowsimmer.domain.groups import SUMS, Group
from lowsimmer.loads.assess import Assessment, assess_dish
from lowsimmer.publishing.text import range_words
from lowsimmer.reading.dish import read_dish

FOLDER = Path(__file__).parent
DISHES = sorted(FOLDER.glob("*.md"))


def table(result: Assessment) -> str:
    """Line by line the food and the grams for one person, then the groups with their verdicts."""
    lines = [f"{result.title}, one of {result.serves:g}: grams for one person", ""]
    for part in result.parts:
        item = part.item
        weight = range_words(item.grams.range.scaled(part.portioned.share)) if item.grams else "?"
        lines.append(f"{item.line.text:<52} {item.key or 'refused'!s:<36} {weight}")
    lines.append("")
    for name in (*(group.value for group in Group), *SUMS):
        load = result.loads[name]
        unknown = f", unknown in {load.unknown_g:.1f} g" if load.unknown_g else ""
        lines.append(f"{name:<17} {range_words(load.range):<24} of {load.limit.grams:g}: {load.verdict.value}{unknown}")
    return "\n".join([*lines, f"{'verdict':<17} {result.verdict.value}", ""])


@pytest.mark.parametrize("dish", DISHES, ids=[dish.stem for dish in DISHES])
def test_a_dish_gives_these_grams(dish: Path) -> None:
    found = table(assess_dish(read_dish(dish.read_text(encoding="utf-8"), dish.name)))
    expected = dish.with_suffix(".txt")
    if os.environ.get("UPDATE_SNAPSHOTS") == "1":
        expected.write_text(found, encoding="utf-8")
    assert found == expected.read_text(encoding="utf-8")
