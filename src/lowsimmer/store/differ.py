"""The differences of two texts, line by line, as a cook would tell them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import takewhile, zip_longest

MOST_LINES = 2000  # on one side, between the same beginning and the same end
MOST_WORK = 1_000_000  # pairs of equal lines to look at

Run = tuple[int, int, int, int]


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
    return [each for a, b, c, d in runs(before, after) for each in _pairs(before[a:b], after[c:d])]


def _pairs(old: list[str], new: list[str]) -> Iterator[Difference]:
    for one, other in zip_longest(old, new, fillvalue=""):
        kind = "changed" if one and other else "removed" if one else "added"
        yield Difference(kind, one, other)


def runs(old: Sequence[str], new: Sequence[str]) -> list[Run]:
    """Where two lists of lines differ, as (start, end) in the old and (start, end) in the new one.

    Nothing differs before, between and after the runs. Comparing takes a moment whatever the texts are: where very
    much changed, or the same line stands a thousand times, what lies between the same beginning and end is one run.
    """
    first = shared_start(old, new)
    last = shared_start(old[first:][::-1], new[first:][::-1])
    before, after = old[first : len(old) - last], new[first : len(new) - last]
    if not before and not after:
        return []
    if _too_much(before, after):
        return [(first, first + len(before), first, first + len(after))]
    codes = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    found = [(first + a, first + b, first + c, first + d) for word, a, b, c, d in codes if word != "equal"]
    return list(_late(old, new, found))


def _late(old: Sequence[str], new: Sequence[str], found: Sequence[Run]) -> Iterator[Run]:
    """The runs with what was only added or only taken out as late as it can stand.

    Among lines that repeat, one more 'portion: 1' could stand in several places; in the last one entries stay whole.
    """
    for place, (a, b, c, d) in enumerate(found):
        room = (found[place + 1][0] - 1 if place + 1 < len(found) else len(old)) - b
        step = 0
        if a == b:
            while step < room and old[a + step] == new[c + step]:
                step += 1
        elif c == d:
            while step < room and old[a + step] == old[b + step]:
                step += 1
        yield a + step, b + step, c + step, d + step


def shared_start(one: Sequence[str], other: Sequence[str]) -> int:
    """How many lines are the same at the beginning."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


def _too_much(before: Sequence[str], after: Sequence[str]) -> bool:
    if max(len(before), len(after)) > MOST_LINES:
        return True
    counted = Counter(after)
    return sum(count * counted[line] for line, count in Counter(before).items()) > MOST_WORK
