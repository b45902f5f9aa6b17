"""What a line could have meant: for a line that asks, every choice with the line as it would read then.

A choice is only offered when the changed line, read again, is matched to a food and asks nothing more about which food.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lowsimmer.domain.findings import Finding, Kind, Severity
from lowsimmer.domain.foods import FoodKey
from lowsimmer.matching.names import index
from lowsimmer.measuring.weigh import Item, items_of
from lowsimmer.reading.line import reader
from lowsimmer.reference.catalogue import foods

ABOUT_THE_FOOD = {Kind.NOT_MATCHED, Kind.FORM_UNCLEAR, Kind.FORM_NOT_KNOWN}
MOST_TRIES = 12  # names of one food that are tried in the line


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to write a line: the words of the choice, and the whole line with it."""

    words: str
    line: str


def choices_for(item: Item, region: str = "") -> list[Choice]:
    """The choices of a line that could not be matched; empty for a line that is, and where no choice would help."""
    asked = [each for each in item.findings if each.severity is Severity.ASK and each.kind in ABOUT_THE_FOOD]
    offered = dict.fromkeys((finding, words) for finding in asked for words in finding.choices)
    found = (_choice(item, finding, words, region) for finding, words in offered)
    return [each for each in found if each is not None]


def _choice(item: Item, finding: Finding, words: str, region: str) -> Choice | None:
    """The first wording of the line that reads as the choice; None when there is none."""
    wanted = next((key for key, food in foods().items() if food.label == words), None)
    for name in _wordings(words, wanted):
        line = _written(item, name)
        if line is not None and _reads_as(line, wanted, region):
            return Choice(words, line)
    return None


def _wordings(words: str, wanted: FoodKey | None) -> Iterator[str]:
    """The choice itself, then the names of its food, those that state the form first."""
    yield words[:1].lower() + words[1:]
    if wanted is None:
        return
    yield f"{wanted.form.split('-')[0]} {wanted.food.replace('-', ' ')}"
    names = [known for known, rows in index().items() for row in rows if row.food == wanted.food]
    stated = sorted(names, key=lambda name: (wanted.form.split("-")[0] not in name, len(name)))
    yield from stated[:MOST_TRIES]


def _written(item: Item, name: str) -> str | None:
    """The line with its name replaced; None where the name does not stand in the line as it was read."""
    text, old = item.line.text.strip(), item.line.name
    at = text.lower().find(old.lower()) if old else -1
    return text[:at] + name + text[at + len(old) :] if at >= 0 else None


def _reads_as(line: str, wanted: FoodKey | None, region: str) -> bool:
    items = items_of(reader().read(line), region)
    if any(each.key is None for each in items):
        return False
    return wanted is None or items[0].key == wanted
