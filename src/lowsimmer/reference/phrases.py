"""How phrases are compared: lower case, no accents, hyphens as spaces, last noun singular."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator


def plain(text: str) -> str:
    """Lower case without accents."""
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text)
        text = "".join(letter for letter in text if not unicodedata.combining(letter))
    return text.lower()


def normal(phrase: str) -> str:
    """The phrase as it is compared."""
    return " ".join(plain(phrase).replace("-", " ").replace("'", "").split())


def singulars(phrase: str) -> Iterator[str]:
    """The phrase itself, then the ways in which its last word may be a plural."""
    yield phrase
    if not phrase.endswith("s"):
        return
    yield phrase[:-1]
    if phrase.endswith("es"):
        yield phrase[:-2]
    if phrase.endswith("ies"):
        yield phrase[:-3] + "y"
    if phrase.endswith("ves"):
        yield phrase[:-3] + "f"
        yield phrase[:-3] + "fe"
