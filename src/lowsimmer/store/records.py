"""What the store gives and takes, as frozen records."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from lowsimmer.domain.errors import InputError, RecordError


class DocumentKind(StrEnum):
    """What a document is; the value stands in the store."""

    DISH = "dish"
    PLATE = "plate"
    FIGURES = "figures"

    @property
    def suffix(self) -> str:
        """The end of its file name."""
        return {"dish": ".md", "plate": ".yaml", "figures": ".csv"}[self.value]


HOWS = (
    "typed", "pasted", "imported", "merged", "undone", "redone", "removed", "put back", "restored", "demo",
)  # fmt: skip


LONGEST_WRITER = 40  # characters, as the column has it


class NotKept(InputError):  # noqa: N818 - said to people as a state, not as a mishap
    """A document or a version that the store does not hold."""


def storable(words: str) -> bool:
    """True for text that both databases take: no NUL, no half of a surrogate pair."""
    return "\x00" not in words and not any("\ud800" <= each <= "\udfff" for each in words)


@dataclass(frozen=True, slots=True)
class Document:
    """One document: its name (that of its file), its title, the number of its newest version."""

    kind: DocumentKind
    name: str
    title: str
    head: int
    made_at: datetime
    changed_at: datetime
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Version:
    """One text of a document. `base` is the version it was made from (0: none).

    `restores` is the version whose text an undo or redo brought back; `how` is one of HOWS.
    """

    kind: DocumentKind
    name: str
    number: int
    base: int
    text: str
    at: datetime
    how: str
    writer: str
    restores: int | None = None

    @property
    def stands_for(self) -> int:
        """The version whose text this one holds: itself, or the one that it restores."""
        return self.restores or self.number


@dataclass(frozen=True, slots=True)
class Edit:
    """A new text for a document, made from version `base` by a writer: a browser tab, a script, the command line."""

    kind: DocumentKind
    name: str
    base: int
    text: str
    writer: str
    how: str = "typed"

    def __post_init__(self) -> None:
        if self.how not in HOWS:
            raise RecordError(f"'{self.how}' is not a way to change a document")
        if len(self.writer) > LONGEST_WRITER or not storable(self.writer):
            raise RecordError(f"a writer is called by at most {LONGEST_WRITER} plain characters")
        if not storable(self.text):
            raise InputError("The text holds characters that are no text.", "Paste it as plain text.")


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of an edit.

    `version` is the newest one. `mine` is the number of the version that holds exactly the text that was sent: the
    same, unless another writer had been faster. Then `merged` is true: the newest text is another than the one sent,
    and holds both. `doubled` are lines that both had changed; both are in the text.
    """

    version: Version
    mine: int
    merged: bool = False
    doubled: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """Versions that read as one change: one writer typing, less than a minute between them."""

    first: Version
    last: Version
