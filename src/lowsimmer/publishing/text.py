"""Results as plain text for a terminal: calm, aligned, readable without colour.

A load bar is a row of 20 marks up to the limit `|` and ten beyond it: `=` up to the low end of the range, `-` from
there to its high end, so the whisker is the dashes. Anything past the end of the bar shows as `>`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lowsimmer.domain.findings import Finding, Severity
from lowsimmer.domain.groups import SUMS, Group, component_label
from lowsimmer.domain.limits import Load, Verdict
from lowsimmer.domain.ranges import Range
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.phases import PhaseServing
from lowsimmer.measuring.weigh import Item
from lowsimmer.nutrition.panel import panel
from lowsimmer.reference.catalogue import allergen_lists

BAR = 20
BEYOND = 10
NAME = 26
NOTABLE = 0.1  # of the limit: from here on a component has drivers, and the offset of excess fructose a line
LEAST = 0.005  # grams: a smaller part of a load is not named as a driver


def grams(number: float) -> str:
    """Grams with two significant digits, three from ten up: 0.034, 1.2, 24.5, 180."""
    if number == 0:
        return "0"
    if number < 0.01:
        return f"{number:.3f}".rstrip("0").rstrip(".") or "0"
    return f"{number:.2f}" if number < 10 else f"{number:.0f}"


def range_words(figure: Range) -> str:
    """`0.21 (0.14 to 0.33)`, or the value alone when it is exact."""
    if grams(figure.low) == grams(figure.high):
        return grams(figure.value)
    return f"{grams(figure.value)} ({grams(figure.low)} to {grams(figure.high)})"


def bar(load: Load) -> str:
    """The load bar of one component."""
    scale = BAR / load.limit.grams
    low, high = round(load.range.low * scale), round(load.range.high * scale)
    marks = ["=" if place < low else "-" if place < high else " " for place in range(BAR + BEYOND)]
    tail = ">" if high > BAR + BEYOND else " "
    return "".join(marks[:BAR]) + "|" + "".join(marks[BAR:]) + tail


def assessment_text(result: Assessment, phases: Sequence[PhaseServing]) -> str:
    """The whole assessment."""
    lines = [result.title, "=" * len(result.title), _serving_line(result), ""]
    lines += ["Per serving, grams of each group against the limit:", ""]
    lines += [_load_line(result.loads[group.value]) for group in Group]
    lines += ["", *(_load_line(result.loads[name]) for name in SUMS), *_offset(result), ""]
    lines += [f"Verdict ({result.profile.name}): {result.verdict.value}", ""]
    lines += _foods_over(result) + _drivers(result) + _unknown(result)
    lines += ["Servings by phase:", *(f"  {each.phase}: {each.words}" for each in phases), ""]
    lines += ["Nutrients of the ingredients, per serving (cooking losses not taken off):", *_nutrients(result), ""]
    lines += ["Allergens in the matched foods (packets can add more):", f"  {_allergens(result)}", ""]
    lines += findings_text(result.findings)
    return "\n".join(lines).rstrip() + "\n"


def _serving_line(result: Assessment) -> str:
    serves = f"serves {result.serves:g}; " if result.serves else ""
    missing = f", and {len(result.unweighed)} line(s) without a weight" if result.unweighed else ""
    return f"{serves}one serving is {range_words(result.serving)} g of ingredients{missing}"


def _load_line(load: Load) -> str:
    unknown = _unknown_words(load)
    known = "unknown" if load.nothing_known else range_words(load.range)
    figures = f"{known:<22} of {load.limit.grams:g} g"
    return (
        f"  {component_label(load.component):<{NAME}}{bar(load)} {figures:<33} {load.verdict.value}{unknown}".rstrip()
    )


def _offset(result: Assessment) -> list[str]:
    """Excess fructose with the glucose of other foods set against it, where that makes a difference worth a line."""
    cautious = result.loads[Group.EXCESS_FRUCTOSE]
    if result.balance is None or cautious.share < NOTABLE:
        return []
    words = f"  Excess fructose if the glucose of the other foods is set against it: {range_words(result.balance)} g"
    return ["", f"{words} (shown, never judged)"]


def _unknown_words(load: Load) -> str:
    parts = []
    if load.unknown_lines:
        parts.append(f"unknown in {len(load.unknown_lines)} line(s) without weight")
    if load.unknown_g > 0:
        settled = ", too little to matter" if load.bounded and load.verdict is Verdict.WITHIN else ""
        parts.append(f"unknown in {grams(load.unknown_g)} g{settled}")
    return "; ".join(["", *parts])


SHOWN = ("energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sodium_mg", "calcium_mg", "iron_mg")


def _nutrients(result: Assessment) -> list[str]:
    sums = [each for each in panel(result.parts) if each.name in SHOWN]
    shown = [f"{each.words} {'unknown' if each.amount is None else f'{each.amount:.3g} {each.unit}'}" for each in sums]
    missing = max(each.unknown_g for each in sums)
    unknown = [f"  figures are missing for up to {grams(missing)} g of it"] if missing >= 1 else []
    keys = sorted({source for each in sums for source in each.sources})
    near = max(each.stand_in_g for each in sums)
    origin = [f"  from {', '.join(keys)}" + (f"; {grams(near)} g of it by the figures of a near food" if near else "")]
    return [f"  {', '.join(shown)}", *unknown, *(origin if keys else [])]


def _allergens(result: Assessment) -> str:
    words = allergen_lists()["eu"]
    return ", ".join(dict.fromkeys(words[key] for key in result.allergens)) or "none"


def _foods_over(result: Assessment) -> list[str]:
    shown = [each for each in result.foods if each.verdict in {Verdict.OVER, Verdict.TOO_CLOSE}]
    if not shown:
        return []
    lines = [
        f"  {each.food}: {range_words(each.range)} g {component_label(each.component)} in {grams(each.grams.value)} g, "
        f"cut-off {each.limit.grams:g} g: {each.verdict.value}"
        for each in shown
    ]
    return ["Single foods against their own cut-off:", *lines, ""]


def _drivers(result: Assessment) -> list[str]:
    lines = []
    for name in (*(group.value for group in Group), *SUMS):
        load = result.loads[name]
        if name in SUMS or load.share < NOTABLE:
            continue
        named = [each for each in load.drivers[:4] if each.mean >= LEAST]
        parts = [f"{each.food} {grams(each.mean)} g ({each.share:.0%})" for each in named]
        lines += [f"  {component_label(name)}: {', '.join(parts)}"] if parts else []
    return ["What drives it:", *lines, ""] if lines else []


def _unknown(result: Assessment) -> list[str]:
    lines = []
    for name in (group.value for group in Group):
        load = result.loads[name]
        if load.unknown_foods and load.verdict is Verdict.NOT_ENOUGH:
            lines.append(f"  {component_label(name)}: {', '.join(load.unknown_foods)}")
    return ["No figure, and enough of it to matter:", *lines, ""] if lines else []


def findings_text(findings: Iterable[Finding]) -> list[str]:
    """Findings by gravity, one or two lines each."""
    titles = {Severity.CAUTION: "Cautions:", Severity.ASK: "Please answer:", Severity.NOTE: "Noted:"}
    lines = []
    listed = list(findings)
    for severity, title in titles.items():
        mine = [each for each in listed if each.severity is severity]
        if mine:
            lines += [title, *(f"  [{each.kind.value}] {_finding_line(each)}" for each in mine), ""]
    return lines


def _finding_line(finding: Finding) -> str:
    step = f" {finding.next_step}" if finding.next_step and finding.severity is not Severity.NOTE else ""
    return f"{finding.sentence}{step}"


def item_text(item: Item) -> str:
    """One line of `read`: what was written, what it was taken for, its weight."""
    taken = item.food.label if item.food else f"not matched ({item.food_name})" if item.food_name else "not matched"
    weight = f"{range_words(item.grams.range)} g = {item.grams.words()}" if item.grams else "weight unknown"
    return f"{item.line.text.strip()}\n    {taken}; {weight}"


def reading_findings(items: Iterable[Item]) -> str:
    """The findings of one line, indented under it."""
    found = dict.fromkeys(finding for item in items for finding in item.findings)
    return "".join(f"    [{each.kind.value}] {_finding_line(each)}\n" for each in found)
