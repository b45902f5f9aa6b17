"""Two changes of one text brought together, line by line, so that nothing that anybody wrote is lost.

The classic three-way comparison: lines that both sides left alone cut the text into pieces; a piece that one side
changed is taken from that side; a piece that both changed in the same way is taken once; where both changed it
differently both are kept, theirs first. Laws under test: merge(b, b, m) is m, merge(b, t, b) is t, merge(b, x, x) is x,
and every line that either side added is there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher


@dataclass(frozen=True, slots=True)
class Merged:
    """The text, and the lines of the second side that stand beside a change of the first."""

    text: str
    doubled: tuple[str, ...] = ()


def merge(base: str, theirs: str, mine: str) -> Merged:
    """Both changes of `base` in one text."""
    old, left, right = (text.split("\n") for text in (base, theirs, mine))
    lines: list[str] = []
    doubled: list[str] = []
    for was, one, other in (each for piece in _pieces(old, left, right) for each in _line_by_line(piece)):
        if one in (was, other):
            lines += other
        elif other == was:
            lines += one
        else:
            lines += [*one, *other]
            doubled += [line for line in other if line.strip()]
    return Merged("\n".join(lines), tuple(doubled))


Piece = tuple[list[str], list[str], list[str]]


def _pieces(old: list[str], left: list[str], right: list[str]) -> Iterator[Piece]:
    """The text in pieces (old, left, right): runs that all three share, and what stands between them."""
    at = (0, 0, 0)
    for start, first, second, size in _shared(old, left, right):
        yield old[at[0] : start], left[at[1] : first], right[at[2] : second]
        shared = old[start : start + size]
        yield shared, shared, shared
        at = (start + size, first + size, second + size)
    yield old[at[0] :], left[at[1] :], right[at[2] :]


def _line_by_line(piece: Piece) -> Iterator[Piece]:
    """A piece in which lines were only reworded, cut into its lines: neighbours that two changed do not clash."""
    if len({len(each) for each in piece}) > 1:
        yield piece
        return
    yield from (([was], [one], [other]) for was, one, other in zip(*piece, strict=True))


def _shared(old: list[str], left: list[str], right: list[str]) -> Iterator[tuple[int, int, int, int]]:
    """Runs of lines that stand in all three, as (place in old, in left, in right, length)."""
    in_left, in_right = _places(old, left), _places(old, right)
    both = [
        (place, in_left[place], in_right[place]) for place in range(len(old)) if place in in_left and place in in_right
    ]
    start = 0
    for end in range(1, len(both) + 1):
        if end == len(both) or any(here != before + 1 for here, before in zip(both[end], both[end - 1], strict=True)):
            yield (*both[start], end - start)
            start = end


def _places(old: list[str], new: list[str]) -> dict[int, int]:
    """Where each line of `old` that was left alone stands in `new`."""
    blocks = SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
    return {block.a + step: block.b + step for block in blocks for step in range(block.size)}
