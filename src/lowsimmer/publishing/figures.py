"""The preview of the practitioner's own figures, for people and for scripts."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from lowsimmer.domain.foods import Estimate
from lowsimmer.domain.groups import SUMS, Group, component_label
from lowsimmer.domain.limits import Load
from lowsimmer.loads.preview import CellChange, DishChange, Preview
from lowsimmer.publishing.records import range_record, rounded
from lowsimmer.publishing.text import grams, range_words

COMPONENTS = (*(group.value for group in Group), *SUMS)


def preview_record(seen: Preview) -> dict[str, Any]:
    """file, how many figures, cells and dishes before and after."""
    return {
        "file": seen.figures.name,
        "rows": len(seen.figures.rows),
        "cells": [_cell_record(each) for each in seen.cells],
        "dishes": [_dish_record(each) for each in seen.dishes],
    }


def _cell_record(change: CellChange) -> dict[str, Any]:
    return {
        "food": change.food.key.food,
        "form": change.food.key.form,
        "label": change.food.label,
        "group": change.group.value,
        "rank": change.rank,
        "set_aside": change.set_aside,
        "pooled": change.pooled,
        "before": _content_record(change.before),
        "after": _content_record(change.after),
    }


def _content_record(estimate: Estimate | None) -> dict[str, Any] | None:
    if estimate is None:
        return None
    numbers = {"value": estimate.value, "low": estimate.low, "high": estimate.high}
    return {name: rounded(number) for name, number in numbers.items()} | {"grade": estimate.grade.value}


def _dish_record(change: DishChange) -> dict[str, Any]:
    before, after = change.before, change.after
    return {
        "file": change.file,
        "title": after.title,
        "profile": after.profile.name,
        "verdict": {"before": before.verdict.value, "after": after.verdict.value},
        "loads": {
            name: {"before": _load_record(before.loads[name]), "after": _load_record(after.loads[name])}
            for name in COMPONENTS
        },
    }


def _load_record(load: Load) -> dict[str, Any]:
    known = None if load.nothing_known else range_record(load.range)
    return {**(known or dict.fromkeys(("value", "low", "high"))), "verdict": load.verdict.value}


def preview_text(seen: Preview) -> str:
    """Content before and after by food, then every dish."""
    count = len(seen.figures.rows)
    lines = [f"{seen.figures.name}: {count} figure{'s' if count != 1 else ''}, all usable", ""]
    lines += ["Content, g per 100 g, before -> after:", ""]
    for label, changes in groupby(seen.cells, key=lambda each: each.food.label):
        lines += [label, *(_cell_line(each) for each in changes), ""]
    for dish in seen.dishes:
        lines += [*_dish_lines(dish), ""]
    return "\n".join(lines).rstrip() + "\n"


def _cell_line(change: CellChange) -> str:
    moved = f"{_content(change.before)} -> {_content(change.after)}"
    return f"  {change.group.label:<18}{moved}; {_how(change)}"


def _how(change: CellChange) -> str:
    """What became of the catalogue's figures, in words."""
    if change.rank == "beside":
        return f"pooled with {change.pooled} of the catalogue" if change.pooled else "none to pool with, stands alone"
    aside = f", {change.set_aside} of the catalogue set aside" if change.set_aside else ""
    return ("ranks first" if change.rank == "first" else "derived from a form with own figures") + aside


def _content(estimate: Estimate | None) -> str:
    if estimate is None:
        return "no figure"
    value, low, high = map(_signed, (estimate.value, estimate.low, estimate.high))
    reach = f" ({low} to {high})" if low != high else ""
    return f"{value}{reach} {estimate.grade.value}"


def _signed(number: float) -> str:
    return grams(number) if number >= 0 else f"-{grams(-number)}"


def _dish_lines(change: DishChange) -> list[str]:
    """Verdict, and the loads that changed."""
    before, after = change.before, change.after
    head = f"{after.title} ({change.file}), per serving, {after.profile.name}: "
    head += _moved(before.verdict.value, after.verdict.value)
    both = {component_label(name): (_load(before.loads[name]), _load(after.loads[name])) for name in COMPONENTS}
    moved = [f"  {label:<26}{one} -> {other}" for label, (one, other) in both.items() if one != other]
    return [head, *(moved or ["  no load changes"])]


def _moved(one: str, other: str) -> str:
    return f"{one}, as before" if one == other else f"{one} -> {other}"


def _load(load: Load) -> str:
    known = "unknown" if load.nothing_known else f"{range_words(load.range)} g"
    return f"{known} {load.verdict.value}"
