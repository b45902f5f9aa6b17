"""Missing figures, ranked, for people and for scripts."""

from __future__ import annotations

from typing import Any

from lowsimmer.loads.gaps import Gap, Gaps
from lowsimmer.publishing.records import rounded
from lowsimmer.publishing.text import grams


def gaps_record(found: Gaps) -> dict[str, Any]:
    """files, gaps (what is missing, who depends on it, how much of it), unmatched lines."""
    return {
        "files": list(found.files),
        "gaps": [_gap_record(each) for each in found.gaps],
        "unmatched": [{"file": file, "line": line} for file, line in found.unmatched],
    }


def _gap_record(gap: Gap) -> dict[str, Any]:
    return {
        "food": gap.cell.key.food,
        "form": gap.cell.key.form,
        "label": gap.cell.label,
        "group": gap.cell.group.value,
        "depend": len(gap.files),
        "files": list(gap.files),
        "grams": rounded(gap.grams),
        "ceiling": rounded(gap.cell.bound or 0.0),
        "could_add": rounded(gap.most),
    }


def gaps_text(found: Gaps) -> str:
    """One row a missing figure, those that most dishes and meals depend on first."""
    lines = [f"Figures missing in {_counted(len(found.files), 'dish or meal', 'dishes and meals')}"]
    if found.gaps:
        lines += [
            "depend: dishes and meals that hold the food; then grams of it in a serving, and what it could add at most",
            "",
            f"  {'depend':>6}  {'grams':>6}  {'at most':>8}  missing",
            *(_gap_line(each) for each in found.gaps),
        ]
    else:
        lines += ["", "None: every food has a figure for every group."]
    if found.unmatched:
        lines += ["", "Lines without a food, of which nothing is known at all:"]
        lines += [f"  {file}: {line}" for file, line in found.unmatched]
    return "\n".join(lines) + "\n"


def _gap_line(gap: Gap) -> str:
    weight = f"{grams(gap.grams):>6}  {grams(gap.most) + ' g':>8}"
    return f"  {len(gap.files):>6}  {weight}  {gap.cell.group.label} of {gap.cell.label}"


def _counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"
