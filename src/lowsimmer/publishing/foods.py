"""The catalogue for people and for scripts."""

from __future__ import annotations

from typing import Any

from lowsimmer.domain.foods import Estimate, Food, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.matching.search import Found
from lowsimmer.publishing.records import rounded
from lowsimmer.publishing.text import grams
from lowsimmer.reference.catalogue import packages
from lowsimmer.reference.composition import composition
from lowsimmer.reference.evidence import Cell
from lowsimmer.reference.table import number


def foods_record(found: Found) -> dict[str, Any]:
    """Words, foods with their estimates, near names when nothing was found."""
    return {
        "words": found.words,
        "foods": [food_record(food) for food in found.foods],
        "near": list(found.near),
    }


def food_record(food: Food) -> dict[str, Any]:
    """One food and form with an estimate, or null, for every group."""
    known = composition(food.key)
    return {
        "food": food.key.food,
        "form": food.key.form,
        "label": food.label,
        "kind": food.kind,
        "limit_class": food.limit_class,
        "family": food.family,
        "allergens": sorted(food.allergens),
        "check_label": food.check_label,
        "packages": [package_record(row) for row in packages().get(food.key, ())],
        "g_per_100g": {group.value: estimate_record(known[group]) for group in Group},
    }


def package_record(row: dict[str, str]) -> dict[str, Any]:
    """One ordinary retail package: what the shop calls it, grams of this form in it, common sizes, region or null."""
    sizes = {name: number(row[name]) for name in ("grams", "low", "high")}
    return {
        "package": row["package"],
        **sizes,
        "region": row["region"] or None,
        "evidence": row["evidence"],
        "note": row["note"],
    }


def estimate_record(estimate: Estimate | None) -> dict[str, Any] | None:
    """value, low, high in g per 100 g, grade, reason and the figures behind it."""
    if estimate is None:
        return None
    return {
        "value": rounded(estimate.value),
        "low": rounded(estimate.low),
        "high": rounded(estimate.high),
        "grade": estimate.grade.value,
        "reason": estimate.reason,
        "source": estimate.source or None,
        "figures": [figure_record(each) for each in estimate.behind],
    }


def figure_record(figure: Observation) -> dict[str, Any]:
    """One published figure: the numbers, where they stand, how they are known and what was decided about them."""
    return {
        "form": figure.key.form,
        "value": rounded(figure.value),
        "low": figure.low,
        "high": figure.high,
        "qualifier": figure.qualifier,
        "source": figure.pedigree.source,
        "locator": figure.pedigree.locator,
        "evidence": figure.pedigree.evidence.value,
        "decision": figure.decision,
        "note": figure.pedigree.note,
    }


def foods_text(found: Found) -> str:
    """One block a food; a hint when nothing was found."""
    if not found.foods:
        near = f" Near names: {', '.join(found.near)}." if found.near else ""
        return f"Nothing in the catalogue is called '{found.words}'.{near}\n"
    return "\n".join(_food_text(food) for food in found.foods)


def _food_text(food: Food) -> str:
    known = composition(food.key)
    lines = [f"{food.label}   [{food.key.food}, {food.key.form}]"]
    lines += [f"  {group.label:<18}{content_words(known[group])}" for group in Group]
    return "\n".join([*lines, *notes_lines(food)]) + "\n"


def notes_lines(food: Food) -> list[str]:
    """Allergens, the usual package, and what a packet can hide, where there is something to say."""
    allergens = [f"  allergens         {', '.join(sorted(food.allergens))}"] if food.allergens else []
    sold = "; ".join(package_words(row) for row in packages().get(food.key, ()))
    allergens += [f"  usually sold as   {sold} [common practice, no source]"] if sold else []
    return [*allergens, *([f"  check the label   {food.check_label}"] if food.check_label else [])]


def package_words(row: dict[str, str]) -> str:
    """`bag 500 g (400 to 1000)`, with the region where shops differ."""
    where = f" in {row['region'].upper()}" if row["region"] else ""
    note = f", {row['note']}" if row["note"] else ""
    size, low, high = (f"{float(row[name]):.0f}" for name in ("grams", "low", "high"))
    return f"{row['package']} {size} g ({low} to {high}){where}{note}"


def content_words(estimate: Estimate | None) -> str:
    """The content in words: zero with its reason, or value, range, and how it was made."""
    if estimate is None:
        return "no figure"
    if estimate.known_zero:
        return f"0   {estimate.reason}"
    value = grams(estimate.value) if estimate.value >= 0 else f"0 (glucose in excess by {grams(-estimate.value)})"
    mark = f" [{estimate.grade.mark}]" if estimate.grade.mark else ""
    low, high = max(0.0, estimate.low), max(0.0, estimate.high)
    return f"{value} ({grams(low)} to {grams(high)}) g/100 g, {estimate.reason}{mark}"


def bound_words(of: Cell) -> str:
    """What is said of a cell that nobody has a figure for: what bounds it, and where that bound comes from."""
    return f"no figure; bounded by {of.bound:.3g} g per 100 g ({of.bound_from})"


def signed(number: float) -> str:
    """Grams that may be negative, as those of a balance are."""
    return grams(number) if number >= 0 else f"-{grams(-number)}"


def signed_range(estimate: Estimate) -> str:
    """Value and range of an estimate; negative where glucose is in excess."""
    return f"{signed(estimate.value)} ({signed(estimate.low)} to {signed(estimate.high)})"
