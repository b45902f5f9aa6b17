"""A plate as a form: its title, its notes, and for each dish how much of it is eaten.

The kept text is the open meal file (`reading.meal`). A form reads it leniently, so that a half-filled row still stands
in the form, and writes it in one shape: two lines a dish, so that changes of different dishes in two windows are
changes of different lines and can be brought together.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import yaml

from lowsimmer.domain.errors import InputError
from lowsimmer.reading.numbers import number_or_range
from lowsimmer.reading.plain_yaml import keys_known, load_mapping
from lowsimmer.reference.words import vocabulary

UNITS = {
    "serving": "servings",
    "piece": "pieces",
    "tbsp": "level tablespoons",
    "tsp": "level teaspoons",
    "cup": "cups",
    "g": "grams",
}  # as written in the file: as shown
_SAME = {
    "": "serving",
    "servings": "serving",
    "portion": "serving",
    "portions": "serving",
    "pieces": "piece",
    "tablespoon": "tbsp",
    "tablespoons": "tbsp",
    "level tablespoon": "tbsp",
    "level tablespoons": "tbsp",
    "teaspoon": "tsp",
    "teaspoons": "tsp",
    "cups": "cup",
    "gram": "g",
    "grams": "g",
}
_COMMENT = re.compile(r"^[ \t]*#.*$", re.MULTILINE)
MOST_ROWS = 40


@dataclass(frozen=True, slots=True)
class Row:
    """One dish of a plate: the name of its file without the end, the number as written, and the unit."""

    dish: str
    number: str = "1"
    unit: str = "serving"

    @property
    def words(self) -> str:
        """The portion as the meal file writes it."""
        return f"{self.number} {self.unit}".strip()


@dataclass(frozen=True, slots=True)
class PlateSheet:
    """A plate as its form shows it; `comments` are lines of the file that only a person reads."""

    title: str
    rows: tuple[Row, ...] = ()
    notes: str = ""
    comments: tuple[str, ...] = ()


def plate_sheet(text: str) -> PlateSheet:
    """The form of a plate's text. Raises InputError for one that a form could not show without losing some of it."""
    meal = load_mapping(text, "This plate")
    keys_known(meal, {"title", "dishes", "notes"}, "This plate")
    listed = meal.get("dishes") or []
    if not isinstance(listed, list):
        raise InputError("This plate does not list its dishes.", "Write '- file: dish.md' below 'dishes:' for each.")
    rows = tuple(_row(entry) for entry in listed)
    return PlateSheet(_plain(meal.get("title")), rows, _plain(meal.get("notes")), tuple(_COMMENT.findall(text)))


def _plain(value: Any) -> str:
    """A value as one line of text: what YAML could not hold in one line of quotes becomes a blank."""
    text = "" if value is None else str(value)
    return " ".join("".join(each if each.isprintable() else " " for each in text).split())


def _row(entry: Any) -> Row:
    entry = {"file": entry} if isinstance(entry, str) else entry
    if not isinstance(entry, dict) or not entry.get("file"):
        raise InputError("This plate has a dish without a file.", "Write '- file: dish.md'.")
    keys_known(entry, {"file", "portion"}, "A dish of this plate")
    number, unit = portion_of(_plain(entry.get("portion", "1 serving")))
    return Row(_plain(entry["file"]).removesuffix(".md"), number, unit)


def portion_of(words: str) -> tuple[str, str]:
    """The number and the unit of a portion as written; what is no number stands in its place."""
    found = number_or_range(words.lower(), 0, vocabulary().numbers)
    if found is None:
        number, _, last = words.rpartition(" ")
        return (number, last) if last in UNITS else (words, "")
    unit = words[found[1] :].strip()
    return words[: found[1]].strip(), _SAME.get(unit.lower(), unit)


def plate_text(sheet: PlateSheet) -> str:
    """The meal file of a form. Law: plate_sheet(plate_text(sheet)) is the sheet, for one that plate_sheet gave."""
    lines = [*sheet.comments, f"title: {_scalar(sheet.title)}"]
    lines += [f"notes: {_scalar(sheet.notes)}"] if _plain(sheet.notes) else []
    lines += ["dishes:"] if sheet.rows else ["dishes: []"]
    for row in sheet.rows:
        lines += [f"  - file: {_scalar(row.dish + '.md')}", f"    portion: {_scalar(row.words)}"]
    return "\n".join(lines) + "\n"


def _scalar(given: str) -> str:
    """A value in one line: bare where YAML reads it back as the same text, else in quotes."""
    text = _plain(given)
    try:
        bare = bool(text) and yaml.safe_load(f"a: {text}") == {"a": text}
    except yaml.YAMLError:
        bare = False
    marked = text[:1] in "'\"&*!|>" if text else True
    return text if bare and not marked else "'" + text.replace("'", "''") + "'"
