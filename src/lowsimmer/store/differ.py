"""The differences of two texts, line by line, as a cook would tell them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import zip_longest


@dataclass(frozen=True, slots=True)
class Difference:
    """One line that was added, removed or changed; `old` and `new` are empty where there is no such line."""

    kind: str
    old: str
    new: str

    @property
    def words(self) -> str:
        """The difference as a sentence."""
        if self.kind == "changed":
            return f"Changed: '{self.old}' to '{self.new}'"
        return f"Added: '{self.new}'" if self.kind == "added" else f"Removed: '{self.old}'"


def differences(old: str, new: str) -> list[Difference]:
    """What changed between two texts; blank lines are no difference."""
    before, after = ([line.strip() for line in text.splitlines() if line.strip()] for text in (old, new))
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    changed = (code for code in matcher.get_opcodes() if code[0] != "equal")
    return [each for _, a, b, c, d in changed for each in _pairs(before[a:b], after[c:d])]


def _pairs(old: list[str], new: list[str]) -> Iterator[Difference]:
    for one, other in zip_longest(old, new, fillvalue=""):
        kind = "changed" if one and other else "removed" if one else "added"
        yield Difference(kind, one, other)
