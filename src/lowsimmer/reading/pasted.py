"""Loose text as it is pasted from a page, a mail or a caption, sorted into the pieces of a dish.

A dish file and recipe data (schema.org Recipe, as JSON or inside a page) are recognised. Of other text the first line
is the title, a line such as "serves 4" gives the servings, headings open ingredients and method; without headings each
line is looked at: with an amount, or with a food of the catalogue for a name, it is an ingredient; a numbered or long
line is a step.
"""

from __future__ import annotations

import re
from dataclasses import replace

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Kind
from lowsimmer.domain.lines import Dish, Line
from lowsimmer.reading.jsonld import read_jsonld
from lowsimmer.reading.line import reader
from lowsimmer.reading.sheet import INGREDIENTS, METHOD, Sheet, sheet_of

_SERVES = re.compile(
    r"^(?:serves|servings|for|yield|portions|makes)[:\s]+(\d+(?:\s*(?:to|-|–)\s*\d+)?)\b", re.IGNORECASE
)
_PEOPLE = re.compile(r"^(\d+(?:\s*(?:to|-|–)\s*\d+)?)\s+(?:servings?|portions?|people)\.?$", re.IGNORECASE)
_STEP = re.compile(r"^\s*(?:step\s*)?\d{1,2}[.):]\s+\S", re.IGNORECASE)
_MARKED = re.compile(r"^\s*[-*•·]\s+")
LONG_SENTENCE = 12  # words: a line that long is a step


def pasted(text: str) -> Sheet:
    """The sheet of a pasted text; every line of it is somewhere on the sheet."""
    start = text.lstrip()[:1]
    if start in {"{", "[", "<"}:
        try:
            return sheet_from(read_jsonld(text, "What was pasted"))
        except InputError:
            pass
    return sheet_of(text) if text.lstrip().startswith("---") else _loose(text)


def sheet_from(dish: Dish) -> Sheet:
    """The sheet of a dish that was read from recipe data."""
    rows: list[str] = []
    component = ""
    for line in dish.lines:
        if line.component != component:
            component = line.component
            rows.append(f"### {component}")
        rows.append(line.text.strip())
    steps = "\n".join(f"{number}. {step}" for number, step in enumerate(dish.method, 1))
    makes, serve_by = (dish.extra.get(key, "") for key in ("makes", "serve_by"))
    rows_text = "\n".join(rows)
    return Sheet(dish.title, f"{dish.serves:g}", dish.region, makes, serve_by, ingredients=rows_text, method=steps)


def _loose(text: str) -> Sheet:
    sheet, into = Sheet(), ""
    found: dict[str, list[str]] = {"ingredients": [], "method": []}
    for line in (row.strip() for row in text.replace("\r", "\n").split("\n")):
        heading = line.strip("#*: ").lower()
        serves = _SERVES.match(line) or _PEOPLE.match(line)
        if not line:
            continue
        if heading.startswith(INGREDIENTS) and len(heading.split()) < 4:
            into = "ingredients"
        elif heading.startswith(METHOD) and len(heading.split()) < 4:
            into = "method"
        elif serves and not sheet.serves and into != "method":
            sheet = replace(sheet, serves=serves.group(1))
        elif not sheet.title and not into and not _is_ingredient(line):
            sheet = replace(sheet, title=line.strip("#* "))
        else:
            found[into or _place(line)].append(_MARKED.sub("", line))
    return replace(sheet, ingredients="\n".join(found["ingredients"]), method="\n".join(found["method"]))


def _place(line: str) -> str:
    if _STEP.match(line) or (len(line.split()) >= LONG_SENTENCE and not _MARKED.match(line)):
        return "method"
    return "ingredients" if _is_ingredient(line) or line.startswith("#") or line.endswith(":") else "method"


def _is_ingredient(line: str) -> bool:
    """True for a line with an amount or an informal one, and for a marked line."""
    read: Line = reader().read(_MARKED.sub("", line))
    refused = any(each.kind in {Kind.NOT_UNDERSTOOD, Kind.HEADING} for each in read.findings)
    short = len(line.split()) < LONG_SENTENCE
    return bool(_MARKED.match(line)) or (not refused and short and (read.amount is not None or read.informal))
