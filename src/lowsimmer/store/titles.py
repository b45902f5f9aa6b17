"""The title that a text gives itself, read as leniently as a half-typed text needs."""

from __future__ import annotations

import re

from lowsimmer.domain.errors import InputError
from lowsimmer.reading.plain_yaml import load_mapping
from lowsimmer.reading.sheet import sheet_of
from lowsimmer.store.records import DocumentKind

_TITLE = re.compile(r"^title:[ \t]*([^\r\n]*)", re.MULTILINE)
LONGEST = 200
FRONT = 20_000  # characters of a dish in which its title is looked for


def title_of(kind: DocumentKind, text: str) -> str:
    """The `title:` of a dish's front matter or of a plate; empty when there is none."""
    if kind is DocumentKind.FIGURES:
        return "Own figures"
    return tidy(sheet_of(text[:FRONT]).title if kind is DocumentKind.DISH else _of_plate(text))


def _of_plate(text: str) -> str:
    """The value of the line as YAML reads it; as it stands where the line is half typed."""
    found = _TITLE.search(text)
    if found is None:
        return ""
    try:
        value = load_mapping(found.group(0), "title")["title"]
    except InputError:
        value = None
    return value if isinstance(value, str) else found.group(1)


def tidy(title: str) -> str:
    """A title in one line, not too long, of characters that can be kept."""
    flat = " ".join(title.replace("\x00", " ").split())
    return flat.encode("utf-8", "replace").decode()[:LONGEST]
