"""The title that a text gives itself, read as leniently as a half-typed text needs."""

from __future__ import annotations

import re

from lowsimmer.store.records import DocumentKind

_TITLE = re.compile(r"^title:[ \t]*(.*?)[ \t]*$", re.MULTILINE)
LONGEST = 200


def title_of(kind: DocumentKind, text: str) -> str:
    """The `title:` of a dish's front matter or of a plate; empty when there is none."""
    if kind is DocumentKind.FIGURES:
        return "Own figures"
    head = text.split("\n---", 1)[0] if text.lstrip().startswith("---") else text
    found = _TITLE.search(head) if kind is DocumentKind.PLATE or head is not text else None
    title = found.group(1) if found else ""
    quoted = len(title) > 1 and title[0] == title[-1] and title[0] in "'\""
    return (title[1:-1].replace("''", "'") if quoted else title)[:LONGEST]
