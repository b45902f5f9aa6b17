"""How much of a dish is eaten, as it stands in a meal file: servings, pieces, or a weight, spoons or cups of it.

Servings and pieces are known at once. A weight is kept as an amount: what share of the dish it is can be told only when
the dish has been weighed (`measuring.portions`).
"""

from __future__ import annotations

import re

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Finding, Kind, note
from lowsimmer.domain.lines import Amount, Dish, Portion
from lowsimmer.domain.ranges import Range
from lowsimmer.reading.amounts import AmountReader
from lowsimmer.reading.numbers import number_or_range
from lowsimmer.reference.weights import MIXED_DENSITY, measures
from lowsimmer.reference.words import vocabulary

MOST_SERVINGS = 100
_SERVINGS = {"", "serving", "servings", "a serving", "of a serving", "portion", "portions"}
_BEHIND = {"", "it", "of it", "dish", "of the dish"}  # what may stand behind a weight
_MAKES = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(.*)")


def portion_of(words: str, dish: Dish, what: str) -> Portion:
    """A portion from its words: `1 serving`, `half`, `2 pieces`, `120 g`, `3 tbsp`. Raises InputError for others."""
    text = words.strip().lower()
    found = number_or_range(text, 0, vocabulary().numbers)
    if found is None or not found[0].low > 0:
        raise _no_amount(words, dish, what)
    number, unit = found[0], text[found[1] :].strip()
    made = None if unit in _SERVINGS else _pieces(dish, unit)
    amount = None if unit in _SERVINGS or made else _weight(text)
    if amount is not None:
        return Portion(dish, None, words, amount=amount)
    if number.value > MOST_SERVINGS:
        raise _no_amount(words, dish, what)
    if unit not in _SERVINGS and made is None:
        raise InputError(
            f"{what}: '{words}' cannot be turned into servings of '{dish.title}'.",
            "Give servings, grams, spoons or cups, or add 'makes: 12 pieces' to the dish.",
        )
    servings = number.scaled(dish.serves / made) if made else number
    return Portion(dish, servings.value, words, None if servings.exact else servings)


def _no_amount(words: str, dish: Dish, what: str) -> InputError:
    return InputError(
        f"{what}: the portion '{words}' of '{dish.title}' is not an amount.", "Write '1 serving' or '2 pieces'."
    )


def _pieces(dish: Dish, unit: str) -> float | None:
    """How many pieces the dish makes, where the unit is a piece of it."""
    makes = _MAKES.match(dish.extra.get("makes", ""))
    if makes is None or not float(makes.group(1)) > 0:
        return None
    own = unit.rstrip("s") == makes.group(2).strip().lower().rstrip("s")
    return float(makes.group(1)) if own or unit in {"piece", "pieces"} else None


def _weight(text: str) -> Amount | None:
    """An amount in grams, spoons or cups, when the words are nothing else."""
    front = AmountReader(vocabulary()).front(text)
    amount = front.amount
    if amount is None or amount.pack or front.also or text[front.end :].strip() not in _BEHIND:
        return None
    return amount if (amount.unit, "") in measures() and _measured(amount.unit) else None


def _measured(unit: str) -> bool:
    return unit == "spoonful" or vocabulary().kinds[unit] in {"mass", "volume"}


def about(portion: Portion) -> list[Finding]:
    """What has to be told of a portion by weight."""
    if portion.amount is None:
        return []
    volume = measures()[portion.amount.unit, ""].quantity == "ml"
    spoon = f" at {_plain(MIXED_DENSITY.range)} g/ml ({MIXED_DENSITY.pedigree.evidence.mark})" if volume else ""
    sentence = (
        f"{portion.dish.title}: '{portion.words}' is taken{spoon} as a share of what the ingredients weigh together; "
        "what cooking drives off is not known."
    )
    step = "Weigh the cooked dish once and give the portion as a share of it in servings."
    return [note(Kind.PORTION_BY_WEIGHT, sentence, portion.words, step)]


def _plain(figure: Range) -> str:
    return f"{figure.low:g} to {figure.high:g}"
