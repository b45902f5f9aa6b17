"""A meal file: YAML that names dishes and how much of each is eaten.

    title: Friday supper
    dishes:
      - file: stew.md
        portion: 1 serving        # or: half, 2 pieces (needs `makes`), 120 g, 3 tbsp, 1 cup
      - file: salad.md            # one serving when nothing is said

Dish files are looked for beside the meal file.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path, PurePath
from typing import Any

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.reading.dish import read_dish
from lowsimmer.reading.files import read_text
from lowsimmer.reading.jsonld import read_jsonld
from lowsimmer.reading.plain_yaml import keys_known, load_mapping
from lowsimmer.reading.portion import about, portion_of

MOST_DISHES = 40


def open_dish(name: str) -> Dish:
    """A dish from a file: .md is a dish file, .json, .html and .htm hold a schema.org Recipe."""
    text = read_text(name)
    if Path(name).suffix.lower() in {".json", ".jsonld", ".html", ".htm"} or text.lstrip()[:1] in {
        "{",
        "<",
        "[",
    }:
        return read_jsonld(text, f"'{name}'")
    return read_dish(text, f"'{name}'")


def open_plate(name: str) -> Plate | Dish:
    """A plate from a .yaml meal file, or a dish from any other file."""
    if Path(name).suffix.lower() in {".yaml", ".yml"}:
        return read_meal(read_text(name), Path(name))
    return open_dish(name)


def read_meal(text: str, path: PurePath, open_one: Callable[[str], Dish] = open_dish) -> Plate:
    """The plate that a meal text describes; `open_one` opens its dishes: files beside it unless told else."""
    what = f"'{path}'"
    meal = load_mapping(text, what)
    keys_known(meal, {"title", "dishes", "notes"}, what)
    listed = meal.get("dishes")
    if not isinstance(listed, list) or not listed:
        raise InputError(f"{what} lists no dishes.", "Add 'dishes:' with one '- file: dish.md' for each.")
    if len(listed) > MOST_DISHES:
        raise InputError(f"{what} lists {len(listed)} dishes.", f"A meal has at most {MOST_DISHES}.")
    portions = tuple(_portion(entry, path, open_one) for entry in listed)
    findings = tuple(finding for portion in portions for finding in (*portion.dish.findings, *about(portion)))
    return Plate(str(meal.get("title") or path.stem), portions, findings)


def _portion(entry: Any, path: PurePath, open_one: Callable[[str], Dish]) -> Portion:
    entry = {"file": entry} if isinstance(entry, str) else entry
    if not isinstance(entry, dict) or not entry.get("file"):
        raise InputError(f"'{path}' has a dish without a file.", "Write '- file: dish.md'.")
    keys_known(entry, {"file", "portion"}, f"A dish of '{path}'")
    file = path.parent / str(entry["file"])
    if file.suffix.lower() in {".yaml", ".yml"}:
        raise InputError(
            f"'{path}' names '{file.name}', which is a meal.", "A meal is made of dishes: name their files."
        )
    return portion_of(str(entry.get("portion", "1 serving")), open_one(str(file)), f"'{path}'")
