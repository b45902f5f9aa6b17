"""Plain misspellings: one letter left out, added, changed, or two swapped, in a word of six letters or more.

This is a rule, not a measure of closeness: it holds only when exactly one word of the catalogue is that near, and the
reading is always told in a finding. Short words are left alone, since many foods differ by a letter (bean, bran).
The index is the usual one of single deletions: two words one edit apart share a form with one letter left out.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cache

from lowsimmer.reference.phrases import normal
from lowsimmer.reference.table import rows
from lowsimmer.reference.words import vocabulary

SHORTEST = 6


@cache
def _words() -> frozenset[str]:
    """Every word that a name or the vocabulary uses; words of names that are themselves misspelt are left out."""
    named = (word for row in rows("names") if row["note"] != "misspelling" for word in normal(row["name"]).split())
    return frozenset(named) | vocabulary().classes.keys()


def _deletions(word: str) -> set[str]:
    return {word[:place] + word[place + 1 :] for place in range(len(word))} | {word}


@cache
def _index() -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for word in _words():
        if len(word) >= SHORTEST - 1:
            for shorter in _deletions(word):
                found[shorter].add(word)
    return {shorter: frozenset(words) for shorter, words in found.items()}


def respelt(phrase: str) -> str:
    """The phrase with its misspelt words put right; '' when nothing was, or when a word could mean two."""
    words, changed = phrase.split(), False
    for place, word in enumerate(words):
        if word in _words() or word.removesuffix("s") in _words() or len(word) < SHORTEST or not word.isalpha():
            continue
        near = {each for shorter in _deletions(word) for each in _index().get(shorter, ()) if _near(word, each)}
        if len(near) == 1:
            words[place], changed = near.pop(), True
    return " ".join(words) if changed else ""


def _near(word: str, known: str) -> bool:
    """One edit apart, and the first letter right: that one is seldom missed."""
    return word[0] == known[0] and one_edit(word, known)


def one_edit(one: str, other: str) -> bool:
    """True when one letter was left out, added or changed, or two neighbours were swapped."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    rest, rest2 = one[start:], other[start:]
    if len(one) == len(other):
        return rest[1:] == rest2[1:] or (rest[:2] == rest2[1::-1] and rest[2:] == rest2[2:])
    return rest[1:] == rest2 or rest == rest2[1:]
