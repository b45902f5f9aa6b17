"""A dish file: Markdown with YAML front matter.

    ---
    title: Green lentil salad
    serves: 4                 # "4", "4 to 6"; the smaller number counts
    region: uk                # us, uk, au, nz: what a cup, a tablespoon and some words mean
    makes: 12 fritters        # optional: pieces, for "how many fit"
    serve_by: spoon           # optional: spoon, for dips and sauces
    ---
    ## Ingredients
    ### Dressing              (a component)
    - 2 tbsp olive oil
    ## Method
    1. Whisk.

Lines under `## Ingredients` are plain ingredient lines; list marks are optional; `###` opens a component.
"""

from __future__ import annotations

import re
from typing import Any

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Finding, Kind, note
from lowsimmer.domain.lines import Dish, Line
from lowsimmer.reading.line import reader
from lowsimmer.reading.numbers import number_or_range
from lowsimmer.reading.plain_yaml import keys_known, load_mapping
from lowsimmer.reference.words import vocabulary

REGIONS = ("us", "uk", "au", "nz")
FIELDS = {
    "title",
    "serves",
    "region",
    "makes",
    "serve_by",
    "author",
    "cuisine",
    "notes",
    "source",
    "tags",
    "time",
}
MOST_LINES = 400
_FRONT = re.compile(r"\A\s*---[ \t]*\r?\n(.*?)\r?\n---[ \t]*(?:\r?\n|\Z)", re.DOTALL)
INGREDIENTS = ("ingredient",)  # how the headings of the two sections begin
METHOD = ("method", "direction", "instruction", "step", "preparation")
_PEOPLE = re.compile(r"\s*(?:people|persons?|servings?|portions?|adults?|plates?|bowls?)?\.?")
_LIST_MARK = re.compile(r"^\s*[-*+]\s+")
_STEP_MARK = re.compile(r"^\s*(?:\d{1,3}[.)]|[-*+])\s+")


def read_dish(text: str, what: str) -> Dish:
    """The dish that a Markdown text holds. Raises InputError when title, servings or ingredients are missing."""
    match = _FRONT.match(text)
    if match is None:
        raise InputError(
            f"{what} does not begin with front matter.",
            "Begin with '---', 'title: ...', 'serves: ...', '---', then '## Ingredients'.",
        )
    front = load_mapping(match.group(1), f"The front matter of {what}")
    keys_known(front, FIELDS, f"The front matter of {what}")
    ingredients, method = _sections(text[match.end() :])
    if not ingredients:
        raise InputError(f"{what} has no ingredients.", "Add a section '## Ingredients' with one line for each.")
    return build_dish(front, ingredients, method, what)


def build_dish(front: dict[str, Any], ingredients: list[tuple[str, str]], method: list[str], what: str) -> Dish:
    """A dish from its fields, its ingredient lines as (component, text), and its steps."""
    if len(ingredients) > MOST_LINES:
        raise InputError(f"{what} has {len(ingredients)} ingredient lines.", f"A dish has at most {MOST_LINES}.")
    title = str(front.get("title") or "").strip()
    if not title:
        raise InputError(f"{what} has no title.", "Add 'title: ...' to the front matter.")
    serves, findings = read_servings(front.get("serves"), what)
    return Dish(
        title=title,
        serves=serves,
        lines=tuple(read_lines(ingredients)),
        method=tuple(method),
        region=read_region(front.get("region"), what),
        findings=findings,
        extra={key: str(front[key]) for key in ("makes", "serve_by") if front.get(key) is not None},
    )


def read_lines(ingredients: list[tuple[str, str]]) -> list[Line]:
    """Each ingredient line read, with the component it stands under."""
    return [reader().read(text, component) for component, text in ingredients]


def read_servings(given: object, what: str) -> tuple[float, tuple[Finding, ...]]:
    """How many the dish serves: a positive number; of a range the smaller one, with a finding."""
    text = str(given if given is not None else "").strip().lower()
    text = re.sub(r"^(?:serves|makes|for|about|yield:?)\s+", "", text)
    found = number_or_range(text, 0, vocabulary().numbers) if len(text) < 40 else None
    if found is None or not 0.1 <= found[0].low <= 1000 or not _PEOPLE.fullmatch(text[found[1] :]):
        shown = f"'{text[:40]}'" if text else "nothing"
        raise InputError(
            f"{what} gives {shown} for the number of servings.",
            "Write 'serves: 4' (more than 0, at most 1000).",
        )
    number = found[0]
    if number.exact:
        return number.value, ()
    sentence = f"It serves {number.low:g} to {number.high:g}; {number.low:g} is used, so a serving is the larger one."
    return number.low, (note(Kind.SERVINGS_GUESSED, sentence),)


def read_region(given: object, what: str) -> str:
    """us, uk, au, nz or empty."""
    text = str(given or "").strip().lower()
    text = {"usa": "us", "gb": "uk", "england": "uk", "australia": "au", "new zealand": "nz"}.get(text, text)
    if text and text not in REGIONS:
        raise InputError(
            f"{what} gives '{given}' for the region.", f"Use one of {', '.join(REGIONS)}, or leave it out."
        )
    return text


def heading(line: str) -> tuple[int, str]:
    """Level and words of a Markdown heading; level 0 for any other line."""
    level = len(line) - len(line.lstrip("#"))
    if not 1 <= level <= 6 or not line[level : level + 1].isspace():
        return 0, ""
    return level, line[level:].strip().rstrip("#").rstrip()


def _sections(body: str) -> tuple[list[tuple[str, str]], list[str]]:
    """The ingredient lines (component, text) and the steps of the method."""
    ingredients: list[tuple[str, str]] = []
    method: list[str] = []
    section = component = ""
    for line in body.splitlines():
        level, name = heading(line)
        if 1 <= level <= 2:
            section, component = name.lower(), ""
        elif level:
            component = name
        elif line.strip() and section.startswith(INGREDIENTS):
            ingredients.append((component, _LIST_MARK.sub("", line).strip()))
        elif line.strip() and section.startswith(METHOD):
            method.append(_STEP_MARK.sub("", line).strip())
    return ingredients, method
