"""Scoring the reader against the hand-labelled lines; used by the test beside it and by benchmarks/."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from lowsimmer.measuring.weigh import Item, items_of
from lowsimmer.reading.line import reader
from lowsimmer.reference.words import vocabulary

LABELLED = Path(__file__).parent / "labelled.csv"
FIELDS = ("number", "unit", "size", "name", "preparation")


@dataclass(frozen=True, slots=True)
class Scored:
    """One labelled line with what the program made of it.

    `wrong` names the fields that differ. `silent` is True for a food or form that is not the labelled one and
    was taken without asking: the mistake that can hurt somebody.
    """

    row: dict[str, str]
    item: Item
    wrong: tuple[str, ...]
    food_right: bool
    silent: bool
    grams_right: bool | None


@cache
def scored() -> tuple[Scored, ...]:
    """Every labelled line, read and compared."""
    return tuple(_score(row) for row in _rows())


def _rows() -> Iterator[dict[str, str]]:
    with LABELLED.open(encoding="utf-8", newline="") as handle:
        yield from csv.DictReader(line for line in handle if not line.startswith("#"))


def _score(row: dict[str, str]) -> Scored:
    item = items_of(reader().read(row["line"]), row["region"])[0]
    given = (item.key.food, item.key.form) if item.key else (item.food_name if not row["form"] else "", "")
    wanted = (row["food"], row["form"])
    right = given == wanted or (not row["food"] and item.key is None)
    return Scored(
        row=row,
        item=item,
        wrong=tuple(_wrong_fields(row, item)),
        food_right=right,
        silent=item.key is not None and not right,
        grams_right=_grams_right(row, item),
    )


def _wrong_fields(row: dict[str, str], item: Item) -> Iterator[str]:
    amount = item.line.amount
    stated = amount is not None and vocabulary().kinds.get(amount.unit) != "use"
    number = amount.number if amount and stated else None
    wanted = [float(row[each]) for each in ("value", "low", "high")] if row["value"] else None
    given = [number.value, number.low, number.high] if number else None
    if (wanted is None) != (given is None) or (
        wanted and given and any(abs(a - b) > 0.011 * max(1, b) for a, b in zip(given, wanted, strict=True))
    ):
        yield "number"
    if (amount.unit if amount else "") != row["unit"]:
        yield "unit"
    if (amount.size if amount else "") != row["size"]:
        yield "size"
    if _plain(item.line.name) != _plain(row["name"]):
        yield "name"
    if _plain(item.line.preparation) != _plain(row["preparation"]):
        yield "preparation"


def _plain(text: str) -> str:
    return " ".join(text.lower().replace(",", " ").split())


def _grams_right(row: dict[str, str], item: Item) -> bool | None:
    """True when the middle of the weight lies in the labelled range; None where there is nothing to compare."""
    if not row["grams_low"] or not row["food"] or item.grams is None:
        return None
    return float(row["grams_low"]) * 0.995 <= item.grams.range.value <= float(row["grams_high"]) * 1.005
