"""The worked example: a midsummer supper of four dishes, with invented people and recipes.

The dishes share ingredients (one bunch of dill goes into three bowls), one has a pulse, one a milk product, one an
onion-family swap, one is sweet. `run_demo` assesses each dish and the supper as one plate, prints what a practitioner
would read, and writes every file to a folder.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

from lowsimmer.domain.errors import InputError
from lowsimmer.loads.report import Report, report
from lowsimmer.publishing.figure import load_bars
from lowsimmer.publishing.records import assessment_record
from lowsimmer.publishing.text import assessment_text
from lowsimmer.reading.meal import open_plate

KITCHEN = Path(__file__).parent / "kitchen"
DISHES = ("salmon.md", "lentils.md", "potatoes.md", "crumble.md")
MEAL = "supper.yaml"


def run_demo(out: str, quiet: bool = False) -> dict[str, Any]:
    """Assess the four dishes and the supper, print them unless `quiet`, write all files to `out`.

    Returns the assessments by file name. Raises InputError when `out` cannot be written.
    """
    folder = _prepared(Path(out))
    records = {}
    for name in (*DISHES, MEAL):
        shutil.copyfile(KITCHEN / name, folder / name)
        found = report(open_plate(str(folder / name)))
        records[name] = _write(found, folder / name)
        if not quiet:
            print(assessment_text(found.result, found.phases))
    if not quiet:
        print(
            f"Written to {out}: the dishes and the meal, and for each its assessment (.txt, .json) and picture (.svg)."
        )
    return records


def _prepared(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise InputError(f"'{folder}' cannot be made: {reason}.", "Name another folder with -o.") from error
    return folder


def _write(found: Report, place: Path) -> dict[str, Any]:
    record = assessment_record(found.result, found.phases)
    try:
        place.with_suffix(".txt").write_text(assessment_text(found.result, found.phases), encoding="utf-8")
        place.with_suffix(".json").write_text(json.dumps(record, ensure_ascii=False, indent=2) + "\n", encoding="utf-8")
        place.with_suffix(".svg").write_text(load_bars(found.result), encoding="utf-8")
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise InputError(f"'{place.parent}' cannot be written: {reason}.", "Name another folder with -o.") from error
    return record
