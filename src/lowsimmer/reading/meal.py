"""A meal file: YAML that names dishes and how much of each is eaten.

    title: Friday supper
    dishes:
      - file: stew.md
        portion: 1 serving        # or: 0.5 serving, 2 pieces (needs `makes`), half
      - file: salad.md            # one serving when nothing is said

Dish files are looked for beside the meal file.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path, PurePath
from typing import Any

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.reading.dish import read_dish
from lowsimmer.reading.files import read_text
from lowsimmer.reading.jsonld import read_jsonld
from lowsimmer.reading.numbers import number_or_range
from lowsimmer.reading.plain_yaml import keys_known, load_mapping
from lowsimmer.reference.words import vocabulary

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
    findings = tuple(finding for portion in portions for finding in portion.dish.findings)
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
    dish = open_one(str(file))
    words = str(entry.get("portion", "1 serving"))
    return Portion(dish, servings_of(words, dish, f"'{path}'"), words)


def servings_of(words: str, dish: Dish, what: str) -> float:
    """A portion in servings: '1 serving', '0.5', 'half', or pieces where the dish says how many it makes."""
    text = words.strip().lower()
    found = number_or_range(text, 0, vocabulary().numbers)
    if found is None or not 0 < found[0].value <= 100:
        raise InputError(
            f"{what}: the portion '{words}' of '{dish.title}' is not an amount.",
            "Write '1 serving' or '2 pieces'.",
        )
    number, unit = found[0].value, text[found[1] :].strip()
    if unit in {"", "serving", "servings", "a serving", "of a serving", "portion", "portions"}:
        return number
    return number * dish.serves / _pieces(dish, unit, words, what)


def _pieces(dish: Dish, unit: str, words: str, what: str) -> float:
    makes = re.match(r"\s*(\d+(?:\.\d+)?)\s*(.*)", dish.extra.get("makes", ""))
    if (
        makes is None
        or float(makes.group(1)) <= 0
        or (unit not in {"piece", "pieces"} and unit.rstrip("s") != makes.group(2).strip().lower().rstrip("s"))
    ):
        raise InputError(
            f"{what}: '{words}' cannot be turned into servings of '{dish.title}'.",
            "Give servings, or add 'makes: 12 pieces' to the dish.",
        )
    return float(makes.group(1))
