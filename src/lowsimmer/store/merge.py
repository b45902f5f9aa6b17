"""Two changes of one text brought together, line by line, so that nothing that anybody wrote is lost.

The classic three-way comparison, as fine as lines allow: a line that one side reworded, added or took out is so in the
result. Neighbours do not clash, only changes of the same line do, and lines added in the same place. Then both are
kept whole, theirs first, so that an entry of several lines stays together; only what the other side holds as it is
stands there once. Laws under test: merge(b, b, m) is m, merge(b, t, b)
is t, merge(b, x, x) is x, and every line that either side added is there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from lowsimmer.store.differ import MOST_WORK, runs


@dataclass(frozen=True, slots=True)
class Merged:
    """The text, and the lines of the second side that stand beside a change of the first.

    Where the second side took out what the first one changed, those are the lines of the first that are still there.
    """

    text: str
    doubled: tuple[str, ...] = ()


class _Change(NamedTuple):
    """What one side put in the place of the lines start to end of the base; start is end where it only added."""

    start: int
    end: int
    side: int
    lines: list[str]


def merge(base: str, theirs: str, mine: str) -> Merged:
    """Both changes of `base` in one text."""
    old = base.split("\n")
    changes = [each for side, text in enumerate((theirs, mine)) for each in _changes(old, text.split("\n"), side)]
    lines: list[str] = []
    doubled: list[str] = []
    at = 0
    for group in _groups(sorted(changes)):
        start, end = group[0].start, max(each.end for each in group)
        put, twice = _settled(old, group, start, end)
        lines += [*old[at:start], *put]
        doubled += twice
        at = end
    return Merged("\n".join(lines + old[at:]), tuple(doubled))


def _changes(old: list[str], new: list[str], side: int) -> Iterator[_Change]:
    """What a side changed, cut as small as it can be: lines that were reworded or taken out stand each for itself."""
    for a, b, c, d in runs(old, new):
        if b - a == d - c:
            yield from (_Change(a + step, a + step + 1, side, [new[c + step]]) for step in range(b - a))
        elif c == d:
            yield from (_Change(place, place + 1, side, []) for place in range(a, b))
        else:
            yield _Change(a, b, side, new[c:d])


def _groups(changes: Sequence[_Change]) -> Iterator[list[_Change]]:
    """Changes that clash with each other, together; mostly each alone."""
    group: list[_Change] = []
    end = 0
    for change in changes:
        if group and not _clash(group[0].start, end, change):
            yield group
            group = []
        end = max(end, change.end) if group else change.end
        group.append(change)
    if group:
        yield group


def _clash(start: int, end: int, later: _Change) -> bool:
    """True when a change touches the lines start to end, or both only add, in the same place."""
    if start == end:
        return later.start == later.end == start
    return later.start < end


def _settled(old: list[str], group: list[_Change], start: int, end: int) -> tuple[list[str], list[str]]:
    """What stands in the place of the lines start to end, and which lines of it stand beside another change."""
    if len({each.side for each in group}) == 1:
        return _side(old, group, start, end), []
    theirs, mine = (_side(old, [each for each in group if each.side == side], start, end) for side in (0, 1))
    if _within(mine, theirs) or _within(theirs, mine):
        longer = max(theirs, mine, key=len)
        taken_out = start < end and not (theirs and mine)
        return longer, [line for line in longer if taken_out and line.strip()]
    return theirs + mine, [line for line in mine if line.strip()]


def _within(one: list[str], other: list[str]) -> bool:
    """True when the other lines hold these as they are, one after another."""
    last = len(other) - len(one)
    places = range(last + 1) if last * len(one) < MOST_WORK else (0, last)
    return last >= 0 and any(other[at : at + len(one)] == one for at in places)


def _side(old: list[str], changes: list[_Change], start: int, end: int) -> list[str]:
    """The lines start to end as one side has them."""
    lines: list[str] = []
    at = start
    for change in changes:
        lines += [*old[at : change.start], *change.lines]
        at = change.end
    return lines + old[at:end]
