"""The cook's vocabulary: unit words, number words, heaps and the words beside a food's name."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lowsimmer.domain.ranges import Range
from lowsimmer.reference.phrases import normal, singulars
from lowsimmer.reference.table import rows

VAGUE = frozenset({"informal", "use"})  # the kinds of units that nobody measures


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What the line reader knows. Keys are lower case; values are the canonical words.

    `units` maps a word to its unit, `kinds` a unit to its kind (units.csv). `classes` maps
    a word beside a food's name to neutral, prep, manner or form; `forms` a form word to the form it means.
    `names` holds every name of the catalogue with the foods and forms it may mean, so that "ground cumin" is not
    taken apart. `heads` are the words that a choice shares (heads.csv).
    """

    units: dict[str, str]
    kinds: dict[str, str]
    numbers: dict[str, Range]
    heaps: dict[str, Range]
    classes: dict[str, str]
    forms: dict[str, str]
    names: dict[str, frozenset[str]]
    heads: frozenset[str]

    def meaning(self, phrase: str) -> frozenset[str]:
        """What a phrase may mean as a name, singular or plural; empty when it is no name."""
        if "-" in phrase or "'" in phrase or not phrase.isascii():
            phrase = normal(phrase)
        if not phrase.endswith("s"):
            return self.names.get(phrase, _NOTHING)
        return next((self.names[each] for each in singulars(phrase) if each in self.names), _NOTHING)


_NOTHING: frozenset[str] = frozenset()


def _names() -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = {}
    for row in rows("names"):
        found.setdefault(normal(row["name"]), set()).add(f"{row['food']} {row['form']}")
    return {name: frozenset(foods) for name, foods in found.items()}


def _range(row: dict[str, str], value: str) -> Range:
    return Range(float(row[value]), float(row["low"]), float(row["high"]))


@cache
def vocabulary() -> Vocabulary:
    """The vocabulary of the data files, read once."""
    units = list(rows("units.csv"))
    words = list(rows("words.csv"))
    return Vocabulary(
        units={word: row["unit"] for row in units for word in row["words"].split("|")},
        kinds={row["unit"]: row["kind"] for row in units},
        numbers={row["word"]: _range(row, "value") for row in rows("numbers.csv")},
        heaps={row["word"]: _range(row, "factor") for row in rows("heaps.csv")},
        classes={row["word"]: row["class"] for row in words},
        forms={row["word"]: row["means"] for row in words if row["class"] == "form"},
        names=_names(),
        heads=frozenset(row["word"] for row in rows("heads.csv")),
    )
