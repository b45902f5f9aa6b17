"""The catalogue for people and for scripts."""

from __future__ import annotations

from typing import Any

from lowsimmer.domain.foods import Estimate, Food
from lowsimmer.domain.groups import Group
from lowsimmer.matching.search import Found
from lowsimmer.publishing.records import rounded
from lowsimmer.publishing.text import grams
from lowsimmer.reference.composition import composition


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
        "g_per_100g": {group.value: estimate_record(known[group]) for group in Group},
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
        "figures": [
            {
                "value": rounded(each.value),
                "low": each.low,
                "high": each.high,
                "qualifier": each.qualifier,
                "source": each.pedigree.source,
                "locator": each.pedigree.locator,
                "evidence": each.pedigree.evidence.value,
                "decision": each.decision,
                "note": each.pedigree.note,
            }
            for each in estimate.behind
        ],
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
    lines += [f"  {group.label:<18}{_content(known[group])}" for group in Group]
    lines += [f"  allergens         {', '.join(sorted(food.allergens))}"] if food.allergens else []
    lines += [f"  check the label   {food.check_label}"] if food.check_label else []
    return "\n".join(lines) + "\n"


def _content(estimate: Estimate | None) -> str:
    if estimate is None:
        return "no figure"
    if estimate.known_zero:
        return f"0   {estimate.reason}"
    value = grams(estimate.value) if estimate.value >= 0 else f"0 (glucose in excess by {grams(-estimate.value)})"
    mark = f" [{estimate.grade.mark}]" if estimate.grade.mark else ""
    low, high = max(0.0, estimate.low), max(0.0, estimate.high)
    return f"{value} ({grams(low)} to {grams(high)}) g/100 g, {estimate.reason}{mark}"
