"""Results as plain dictionaries with stable keys, ready for JSON. docs/commands.md documents every key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lowsimmer.domain.findings import Finding
from lowsimmer.domain.groups import SUMS, Group
from lowsimmer.domain.limits import FoodLoad, Largest, Load
from lowsimmer.domain.lines import Amount, Line
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.phases import PhaseServing
from lowsimmer.measuring.weigh import Item, items_of
from lowsimmer.nutrition.panel import panel
from lowsimmer.reference.catalogue import allergen_lists
from lowsimmer.reference.words import vocabulary

Record = dict[str, Any]


def rounded(number: float) -> float:
    """Four significant digits: enough for people, stable for scripts."""
    return float(f"{number:.4g}")


def range_record(figure: Range | None) -> Record | None:
    """value, low, high; None stays None (unknown is not zero)."""
    if figure is None:
        return None
    return {"value": rounded(figure.value), "low": rounded(figure.low), "high": rounded(figure.high)}


def finding_record(finding: Finding) -> Record:
    """kind, severity, sentence, where, next_step, choices."""
    return {
        "kind": finding.kind.value,
        "severity": finding.severity.value,
        "sentence": finding.sentence,
        "where": finding.where.strip(),
        "next_step": finding.next_step,
        "choices": list(finding.choices),
    }


def amount_record(amount: Amount | None) -> Record | None:
    """The number of the amount, null where only a use is stated ("to taste"); its unit stands beside it."""
    stated = amount is not None and vocabulary().kinds.get(amount.unit) != "use"
    return range_record(amount.number) if amount and stated else None


def line_record(line: Line, items: list[Item], region: str) -> Record:
    """One record of `read`: what was written, what was read, what it was taken for, how much it weighs."""
    first, *others = items
    record = _reading(line, first)
    record["alternatives"] = [_alternative(each, region) for each in line.alternatives]
    record["together"] = [_reading(each.line, each) for each in others]
    return record


def _reading(line: Line, item: Item) -> Record:
    grams = item.grams
    return {
        "line": line.text.strip(),
        "amount": amount_record(line.amount),
        "unit": line.amount.unit if line.amount else "",
        "size": line.amount.size if line.amount else "",
        "pack": _stated(line.amount.pack) if line.amount else None,
        "also": _stated(line.also),
        "food": item.food_name or None,
        "form": item.key.form if item.key else None,
        "label": item.food.label if item.food else None,
        "name": line.name,
        "preparation": line.preparation,
        "notes": list(line.notes),
        "optional": line.optional,
        "component": line.component,
        "grams": range_record(grams.range) if grams else None,
        "grams_from": grams.words() if grams else None,
        "findings": [finding_record(each) for each in item.findings],
    }


def _stated(amount: Amount | None) -> Record | None:
    return {**(range_record(amount.number) or {}), "unit": amount.unit} if amount else None


def _alternative(line: Line, region: str) -> Record:
    return _reading(line, items_of(line, region)[0])


def assessment_record(result: Assessment, phases: list[PhaseServing]) -> Record:
    """The whole assessment of one serving of a dish, or of one plate."""
    return {
        "title": result.title,
        "servings": result.serves,
        "profile": result.profile.name,
        "serving_g": range_record(result.serving),
        "unweighed": list(result.unweighed),
        "groups": {group.value: load_record(result.loads[group.value]) for group in Group},
        "sums": {name: load_record(result.loads[name]) for name in SUMS},
        "plate_excess_fructose_offset": range_record(result.balance),
        "foods": [food_record(each) for each in result.foods],
        "verdict": result.verdict.value,
        "largest_serving": largest_record(result.largest),
        "phases": {each.phase: phase_record(each) for each in phases},
        "allergens": list(result.allergens),
        "allergens_listed": allergens_listed(result.allergens),
        "nutrition": nutrition_record(result),
        "findings": [finding_record(each) for each in result.findings],
    }


def nutrition_record(result: Assessment) -> Record:
    """Nutrient -> amount (null when nothing is known), unit, and the grams of the serving without a figure."""
    return {
        each.name: {
            "amount": None if each.amount is None else rounded(each.amount),
            "unit": each.unit,
            "unknown_g": rounded(each.unknown_g),
            "unweighed_lines": each.unweighed,
            "stand_in_g": rounded(each.stand_in_g),
            "sources": list(each.sources),
        }
        for each in panel(result.parts)
    }


def allergens_listed(keys: Sequence[str]) -> dict[str, list[str]]:
    """The allergens by the words of each law that lists them."""
    return {
        law: list(dict.fromkeys(words[key] for key in keys if key in words)) for law, words in allergen_lists().items()
    }


def load_record(load: Load) -> Record:
    """One group or sum: grams, limit, share of it, verdict, what is unknown, what drives it."""
    unknown = {"value": None, "low": None, "high": None}
    return {
        **(unknown if load.nothing_known else range_record(load.range) or {}),
        "limit": load.limit.grams,
        "limit_source": load.limit.pedigree.words(),
        "share": None if load.nothing_known else rounded(load.share),
        "traces_g": rounded(load.traces_g),
        "below_limit_in": rounded(load.below),
        "verdict": load.verdict.value,
        "unknown_g": rounded(load.unknown_g),
        "unknown_foods": list(load.unknown_foods),
        "unknown_lines": [each.strip() for each in load.unknown_lines],
        "unknown_bounded": load.bounded,
        "drivers": [
            {
                "line": each.line.strip(),
                "food": each.food,
                **(range_record(each.range) or {}),
                "share": rounded(each.share),
            }
            for each in load.drivers
        ],
    }


def food_record(load: FoodLoad) -> Record:
    """One food against one published cut-off."""
    return {
        "food": load.food,
        "grams": range_record(load.grams),
        "component": load.component,
        **(range_record(load.range) or {}),
        "limit": load.limit.grams,
        "verdict": load.verdict.value,
    }


def largest_record(largest: Largest) -> Record:
    """servings: a multiple of the serving; null when data are missing (reason) or nothing limits it (unlimited)."""
    unlimited = largest.times == float("inf")
    known = largest.times is not None and not unlimited
    return {
        "servings": rounded(largest.times) if known and largest.times is not None else None,
        "grams": rounded(largest.grams) if largest.grams is not None else None,
        "unlimited": unlimited,
        "stopped_by": largest.stopped_by or None,
        "reason": largest.reason,
        "unknown_foods": list(largest.unknown),
    }


def phase_record(phase: PhaseServing) -> Record:
    """One phase in words, with its figures."""
    return {
        "verdict": phase.verdict.value,
        "largest_serving": largest_record(phase.largest),
        "leave_out": list(phase.leave_out),
        "words": phase.words,
    }
