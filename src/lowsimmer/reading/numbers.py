"""Numbers as cooks write them, read at a place in a lower-case line.

`1 1/2`, `1-1/2`, `.5`, `2-3`, `2 to 3`, `one and a half`, `half a dozen`, `a couple of`. Each reader takes text and
position and gives the range and the position behind it, or None where no number stands.
"""

from __future__ import annotations

import re

from lowsimmer.domain.ranges import Range, exactly

_NUMBER = re.compile(r"(?:(\d+)(?: and | *- *| )(?=\d+/))?(\d+)/(\d+)(?![\d/])|(\d+(?:\.\d+)?|\.\d+)")
_AND_PART = re.compile(r" and (?:a |one )?(half|quarter|third)\b")
_WORD = re.compile(r"[a-z]+")
_TO = re.compile(r" *(?:-|to\b|or\b) *")
_OF_A = re.compile(r" (?:of )?(?:an?\b|the\b|one\b)")
_JOINED_DOZEN = re.compile(r" dozen\b")
_PARTS = re.compile(r"[- ](half|halves|thirds?|quarters?|eighths?)\b(?: of (?:an? |the )?)?")
_PART_VALUES = {
    "half": 0.5, "halves": 0.5, "third": 1 / 3, "thirds": 1 / 3,
    "quarter": 0.25, "quarters": 0.25, "eighth": 0.125, "eighths": 0.125,
}  # fmt: skip
_COUPLE_OF = re.compile(r" of\b")

Found = tuple[Range, int]


def _digits(text: str, at: int) -> Found | None:
    match = _NUMBER.match(text, at)
    if match is None:
        return None
    whole, over, under, decimal = match.groups()
    if decimal is not None:
        value = float(decimal)
    elif int(under) == 0:
        return None
    else:
        value = int(whole or 0) + int(over) / int(under)
    article = _OF_A.match(text, match.end()) if under is not None else None
    return _and_part(text, article.end() if article else match.end(), exactly(value))


def _and_part(text: str, at: int, found: Range) -> Found:
    """`1 and a half`: the part behind a whole number."""
    match = _AND_PART.match(text, at) if text.startswith(" and ", at) else None
    if match is None:
        return found, at
    part = {"half": 0.5, "quarter": 0.25, "third": 1 / 3}[match.group(1)]
    return exactly(found.value + part), match.end()


def _word_number(text: str, at: int, numbers: dict[str, Range]) -> Found | None:
    match = _WORD.match(text, at)
    if match is None or match.group() not in numbers:
        return None
    word, value, end = match.group(), numbers[match.group()], match.end()
    if end < len(text) and text[end] in "-'" and not _PARTS.match(text, end):
        return None
    if word in {"half", "quarter", "third"}:
        article = _OF_A.match(text, end)
        end = article.end() if article else end
    parts = _PARTS.match(text, match.end())
    if parts and word not in {"a", "an", "half"}:
        return value.scaled(_PART_VALUES[parts.group(1)]), parts.end()
    dozen = _JOINED_DOZEN.match(text, end)
    if dozen and word != "dozen":
        return value.scaled(12), dozen.end()
    if word in {"a", "an"}:
        inner = one_number(text, end + 1, numbers) if end < len(text) else None
        return _skip_of(text, inner) if inner else (value, end)
    return _and_part(text, end, value)


def _skip_of(text: str, found: Found) -> Found:
    match = _COUPLE_OF.match(text, found[1])
    return (found[0], match.end()) if match else found


def one_number(text: str, at: int, numbers: dict[str, Range]) -> Found | None:
    """One number in digits or words."""
    sign = text[at : at + 1]
    return _digits(text, at) if sign.isdigit() or sign == "." else _word_number(text, at, numbers)


def number_or_range(text: str, at: int, numbers: dict[str, Range]) -> Found | None:
    """A number, or two with `-`, `to` or `or` between them as a range (the centre is the mean)."""
    first = one_number(text, at, numbers)
    if first is None:
        return None
    link = _TO.match(text, first[1])
    second = one_number(text, link.end(), numbers) if link else None
    if second is None or second[0].value <= first[0].value:
        return first
    low, high = first[0].value, second[0].value
    return Range((low + high) / 2, low, high), second[1]
