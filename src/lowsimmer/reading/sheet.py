"""A dish as a sheet that is being written: its pieces as text, whatever state they are in.

`read_dish` wants a whole dish and says what is missing. A sheet never refuses: a half-written dish still has a title
field, a text of ingredients and a text of steps. `dish_text` puts a sheet together again as a dish file.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from lowsimmer.reading.dish import FIELDS

_FENCE = re.compile(r"\A\s*---[ \t]*\n(.*?)(?:\n---[ \t]*(?:\n|\Z)|\Z)", re.DOTALL)
_FIELD = re.compile(r"^([a-z_]+):[ \t]*(.*?)[ \t]*$")
_SECTION = re.compile(r"^#{1,2}[ \t]+(.*?)[ \t]*#*[ \t]*$")
_PLAIN = re.compile(r"[^\W\d_][\w ,.()'/&+-]*|\d+(?:\.\d+)?(?: [^\W\d_][\w ,.()'/&+-]*)?", re.UNICODE)
_WORDS_OF_YAML = {"yes", "no", "on", "off", "true", "false", "null", "y", "n"}
SHOWN = ("title", "serves", "region", "makes", "serve_by", "notes")
INGREDIENTS = ("ingredient",)
METHOD = ("method", "direction", "instruction", "step", "preparation")


@dataclass(frozen=True, slots=True)
class Sheet:
    """The pieces of a dish as text. `extra` holds further fields of the front matter, `rest` text of other sections."""

    title: str = ""
    serves: str = ""
    region: str = ""
    makes: str = ""
    serve_by: str = ""
    notes: str = ""
    ingredients: str = ""
    method: str = ""
    rest: str = ""
    extra: dict[str, str] = field(default_factory=dict)


def sheet_of(text: str) -> Sheet:
    """The pieces of any text; never raises."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    fence = _FENCE.match(text)
    fields = _fields(fence.group(1)) if fence else {}
    ingredients, method, rest = _sections(text[fence.end() :] if fence else text)
    shown = {key: fields.pop(key, "") for key in SHOWN}
    return Sheet(**shown, ingredients=ingredients, method=method, rest=rest, extra=fields)


def _fields(front: str) -> dict[str, str]:
    """The front matter line by line; a line that is no field belongs to the one before it."""
    fields: dict[str, str] = {}
    last = ""
    for line in front.split("\n"):
        found = _FIELD.match(line)
        if found:
            last = found.group(1)
            fields[last] = _unquoted(found.group(2))
        elif last and line.strip():
            fields[last] = f"{fields[last]} {line.strip()}".strip()
    return fields


def _unquoted(words: str) -> str:
    if len(words) > 1 and words[0] == words[-1] == "'":
        return words[1:-1].replace("''", "'")
    if len(words) > 1 and words[0] == words[-1] == '"':
        return words[1:-1].replace('\\"', '"').replace("\\\\", "\\")
    return re.sub(r"[ \t]+#.*$", "", words)


def _sections(body: str) -> tuple[str, str, str]:
    """Ingredients, method, and everything else with its headings."""
    found: dict[str, list[str]] = {"ingredients": [], "method": [], "rest": []}
    into = "rest"
    for line in body.split("\n"):
        heading = _SECTION.match(line)
        if heading is None:
            found[into].append(line)
            continue
        name = heading.group(1).lower()
        into = "ingredients" if name.startswith(INGREDIENTS) else "method" if name.startswith(METHOD) else "rest"
        if into == "rest":
            found[into].append(line)
    return _tidy(found["ingredients"]), _tidy(found["method"]), _tidy(found["rest"])


def _tidy(lines: list[str]) -> str:
    return "\n".join(lines).strip("\n")


def dish_text(sheet: Sheet) -> str:
    """The dish file of a sheet."""
    fields = {key: getattr(sheet, key) for key in SHOWN} | sheet.extra
    front = [f"{key}: {_quoted(words)}" for key, words in fields.items() if words.strip()]
    parts = ["---", *front, "---", "## Ingredients", sheet.ingredients.strip("\n")]
    parts += ["", "## Method", sheet.method.strip("\n")] if sheet.method.strip() else []
    parts += ["", sheet.rest.strip("\n")] if sheet.rest.strip() else []
    return "\n".join(parts).rstrip("\n") + "\n"


def _quoted(words: str) -> str:
    """A value as YAML reads it back: bare where that is safe, else in single quotes."""
    flat = " ".join(words.split())
    safe = _PLAIN.fullmatch(flat) and flat.lower() not in _WORDS_OF_YAML
    return flat if safe else "'" + flat.replace("'", "''") + "'"


def known_fields(sheet: Sheet) -> bool:
    """True when every further field is one that a dish may have."""
    return set(sheet.extra) <= FIELDS
