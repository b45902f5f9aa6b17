"""A dish as a sheet that is being written: its pieces as text, whatever state they are in.

`read_dish` wants a whole dish and says what is missing. A sheet never refuses: a half-written dish still has a title
field, a text of ingredients and a text of steps. `dish_text` puts a sheet together again as a dish file.

What has no field and no section of its own is kept: fields that are not shown in `extra`, text of other sections and
text before the first heading in `rest`. Comments behind a field of the front matter are dropped, as YAML drops them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from lowsimmer.reading.dish import FIELDS, INGREDIENTS, METHOD, heading

_RULE = re.compile(r"---[ \t]*")
_BARE = re.compile(
    r"[^\W\d_][\w ,.()'/&+-]*|(?:0|[1-9][0-9]{0,8})(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)? [^\W\d_][\w ,.()'/&+-]*"
)
_UNPRINTABLE = re.compile("[^\t\n\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # to YAML
_WORDS_OF_YAML = {"yes", "no", "on", "off", "true", "false", "null", "y", "n"}
_OPENING = frozenset("'\"|>[{")  # a value that begins so is more than its letters to YAML
_LONGEST_VALUE = 20_000  # characters; a longer value is not looked at as YAML
SHOWN = ("title", "serves", "region", "makes", "serve_by", "notes")
PLAIN_INGREDIENTS = {"ingredients", "ingredient"}
PLAIN_METHOD = {"method", "directions", "instructions", "steps", "preparation"}


@dataclass(frozen=True, slots=True)
class Sheet:
    """The pieces of a dish as text. `extra` holds further fields of the front matter, `rest` text of other sections.

    A list or mapping in `extra` is kept as it is written in the file.
    """

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
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    front, body = _front(lines)
    entries, strays = _entries(front)
    fields = {key: _value(given) for key, given in entries.items()}
    ingredients, method, rest = _sections(strays + body)
    shown = {key: fields.pop(key, "").strip() for key in SHOWN}
    return Sheet(**shown, ingredients=ingredients, method=method, rest=rest, extra=fields)


# Reading the front matter


def _front(lines: list[str]) -> tuple[list[str], list[str]]:
    """Front matter and body. Front matter that is not closed yet ends where no field goes on."""
    at = next((place for place, line in enumerate(lines) if line.strip()), -1)
    if at < 0 or lines[at].strip() != "---":
        return [], lines
    inside = lines[at + 1 :]
    end = next((place for place, line in enumerate(inside) if _RULE.fullmatch(line)), len(inside))
    opened = next((place for place, line in enumerate(inside) if _opens_a_section(line)), len(inside))
    if end < len(inside) and end < opened:
        return inside[:end], inside[end + 1 :]
    end = next((place for place, line in enumerate(inside) if not _goes_on(line)), len(inside))
    return inside[:end], inside[end:]


def _opens_a_section(line: str) -> bool:
    level, name = heading(line)
    return level == 2 and name.lower().startswith((*INGREDIENTS, *METHOD))


def _goes_on(line: str) -> bool:
    """True for a line that can stand in front matter of which the end is not written yet."""
    return bool(line.strip()) and (line[0] in " \t" or line.startswith("- ") or _field(line) is not None)


def _field(line: str) -> tuple[str, str] | None:
    """Name and value of a field of the front matter; None for any other line."""
    name, colon, value = line.partition(":")
    name = name.rstrip()
    if not colon or not 0 < len(name) <= 40 or not re.fullmatch(r"[^\W\d][\w -]*", name):
        return None
    known = re.sub(r"[ -]", "_", name.lower())
    name = known if known in FIELDS else name
    if value and value[0] not in " \t" and name not in FIELDS:
        return None
    return name, "" if value.strip().startswith("#") else value.strip()


def _entries(front: list[str]) -> tuple[dict[str, list[str]], list[str]]:
    """The lines of each field, and lines that belong to none."""
    entries: dict[str, list[str]] = {}
    strays: list[str] = []
    last: list[str] = []
    for line in front:
        found = _field(line)
        if found:
            again = entries.pop(found[0], None)
            strays += [f"{found[0]}: {again[0]}", *again[1:]] if again else []
            last = entries[found[0]] = [found[1]]
        elif last and (not line.strip() or line[0] in " \t" or (line.startswith("-") and not last[0])):
            last.append(line)
        elif line.strip():
            strays.append(line.lstrip("# "))
    return entries, strays


def _value(given: list[str]) -> str:
    """The text of a field; a list or mapping as it is written."""
    written = "\n".join(given).rstrip()
    if "\n" not in written and written[:1] not in _OPENING:
        return _without_comment(written)
    loaded = _loaded(written)
    if isinstance(loaded, str):
        return loaded.strip()
    return written if isinstance(loaded, list | dict) else " ".join(_without_comment(each) for each in given).strip()


def _loaded(written: str) -> Any:
    """What YAML reads in a value, every scalar as its text; None when it is not YAML."""
    import yaml

    if len(written) > _LONGEST_VALUE or written[:1] in {"&", "*", "!"}:
        return None
    try:
        return yaml.load(f"a: {written}" if written[:1] != "\n" else f"a:{written}", Loader=yaml.BaseLoader)["a"]
    except (yaml.YAMLError, RecursionError, ValueError, TypeError, KeyError):
        return None


def _without_comment(words: str) -> str:
    words = words.strip()
    starts = [at for at in (words.find(" #"), words.find("\t#")) if at >= 0]
    return "" if words.startswith("#") else words[: min(starts)].rstrip() if starts else words


# Reading the body


def _sections(body: list[str]) -> tuple[str, str, str]:
    """Ingredients, method, and everything else with its headings."""
    found: dict[str, list[str]] = {"ingredients": [], "method": [], "rest": []}
    into = "rest"
    for line in body:
        level, name = heading(line)
        if not 1 <= level <= 2:
            found[into].append(line)
            continue
        into = _section(name.lower())
        if into == "rest":
            found[into].append(line)
        elif name.lower().rstrip(": ") not in PLAIN_INGREDIENTS | PLAIN_METHOD:
            found[into].append(f"### {name}")  # "Ingredients for the dressing" says more than its section does
    return _trimmed(found["ingredients"]), _trimmed(found["method"]), _trimmed(found["rest"])


def _section(name: str) -> str:
    return "ingredients" if name.startswith(INGREDIENTS) else "method" if name.startswith(METHOD) else "rest"


def _trimmed(lines: list[str]) -> str:
    """The lines without blank ones at both ends."""
    written = [place for place, line in enumerate(lines) if line.strip()]
    return "\n".join(lines[written[0] : written[-1] + 1]) if written else ""


# Writing


def dish_text(sheet: Sheet) -> str:
    """The dish file of a sheet. Law: sheet_of(dish_text(sheet)) is the sheet, for any that sheet_of gave."""
    fields = {key: getattr(sheet, key) for key in SHOWN}
    front = [f"{key}: {_quoted(words, key == 'notes')}" for key, words in fields.items() if _clean(words).strip()]
    front += [f"{key}:{_extra(words)}" for key, words in sheet.extra.items()]
    before, behind = _around(sheet.rest)
    parts = ["---", *front, "---", *before, "## Ingredients", sheet.ingredients.strip("\n")]
    parts += ["", "## Method", sheet.method.strip("\n")] if sheet.method.strip() else []
    parts += ["", *behind] if behind else []
    return "\n".join(parts).rstrip("\n") + "\n"


def _around(rest: str) -> tuple[list[str], list[str]]:
    """What stood before the first heading, and the other sections: they go before and behind the dish."""
    lines = rest.strip("\n").split("\n") if rest.strip() else []
    first = next((place for place, line in enumerate(lines) if 1 <= heading(line)[0] <= 2), len(lines))
    return lines[:first], lines[first:]


def _extra(words: str) -> str:
    """A further field: lists and mappings as they were written, all else as a text."""
    if words[:1] in {"[", "{", "\n"} and isinstance(_loaded(words), list | dict):
        return words if words[0] == "\n" else f" {words}"
    return f" {_quoted(words, True)}" if _clean(words).strip() else ""


def _quoted(words: str, in_lines: bool) -> str:
    """A value as YAML reads it back: bare where that is safe, in single quotes, or as a block of lines."""
    lines = [" ".join(line.split()) for line in _clean(words).strip().split("\n")]
    if in_lines and len(lines) > 1:
        return "\n".join(["|-", *(f"  {line}" if line else "" for line in lines)])
    flat = " ".join(line for line in lines if line)
    safe = _BARE.fullmatch(flat) and flat.lower() not in _WORDS_OF_YAML
    return flat if safe else "'" + flat.replace("'", "''") + "'"


def _clean(words: str) -> str:
    return _UNPRINTABLE.sub("", words)


def known_fields(sheet: Sheet) -> bool:
    """True when every further field is one that a dish may have."""
    return set(sheet.extra) <= FIELDS
