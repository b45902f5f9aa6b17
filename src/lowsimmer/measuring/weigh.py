"""A dish weighed: every line matched and measured, in one pass that keeps every finding."""

from __future__ import annotations

import re
from dataclasses import dataclass

from lowsimmer.domain.findings import Finding, Kind, ask, caution, note
from lowsimmer.domain.foods import Food, FoodKey
from lowsimmer.domain.lines import Dish, Line
from lowsimmer.domain.masses import Factor, Grams
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.matching.match import Match, match
from lowsimmer.measuring.measure import measure
from lowsimmer.reference.catalogue import cautions, foods
from lowsimmer.reference.weights import measures
from lowsimmer.reference.words import vocabulary

_LIFTED = re.compile(r"\b(?:removed?|discard(?:ed)?|lifted out|taken out|strained out|fished out|infuse[ds]?)\b")


@dataclass(frozen=True, slots=True)
class Item:
    """One food of a dish: the line it came from, what it was taken for, its edible grams in the whole dish.

    `key` None: not matched or form unclear. `grams` None: the weight is unknown.
    """

    line: Line
    key: FoodKey | None
    food_name: str
    grams: Grams | None
    findings: tuple[Finding, ...]

    @property
    def food(self) -> Food | None:
        """The row of the catalogue, or None."""
        return foods()[self.key] if self.key else None

    @property
    def label(self) -> str:
        """What to call it: the catalogue's label, else the words of the line."""
        return self.food.label if self.food else self.line.name or self.line.text


@dataclass(frozen=True, slots=True)
class Weighed:
    """A dish with its items in the order of its lines; headings are left out."""

    dish: Dish
    items: tuple[Item, ...]


def weigh(dish: Dish) -> Weighed:
    """Match and measure every line of a dish."""
    items = [item for line in dish.lines if not _is_heading(line) for item in items_of(line, dish.region)]
    return Weighed(dish, tuple(items))


def items_of(line: Line, region: str = "") -> list[Item]:
    """The items of one line: one, or more for a pair such as salt and pepper."""
    return [_item(each, region) for each in (line, *line.together)]


def _item(line: Line, region: str) -> Item:
    found = match(line, region)
    if found.food is None:
        return _unmatched(line, found)
    weighed = measure(line, found.food, region)
    notes = (*_cautions(found.food, line), *_label_check(found.food, line))
    settled = line.amount is None and weighed.grams is not None
    own = tuple(each for each in line.findings if not (settled and each.kind is Kind.NO_AMOUNT))
    told = (*own, *found.findings, *weighed.findings, *_lifted_out(found.food, line), *notes)
    return Item(line, found.key, found.food_name, weighed.grams, told)


def _unmatched(line: Line, found: Match) -> Item:
    """A line without a food still has a weight when it states one; it counts as unknown grams."""
    return Item(line, None, found.food_name, _stated_mass(line), (*line.findings, *found.findings))


def _stated_mass(line: Line) -> Grams | None:
    for amount in (line.amount, line.also, line.amount.pack if line.amount else None):
        if amount and vocabulary().kinds.get(amount.unit) == "mass" and not amount.pack:
            unit = measures()[amount.unit, ""].range
            grams = amount.number.scaled(unit.value)
            if line.amount and amount is line.amount.pack:
                grams = grams * line.amount.number
            pedigree = Pedigree("the line", Evidence.SEEN)
            return Grams(((Factor(f"amount:{line.name}", f"{grams.value:g} g", grams, pedigree),),))
    return None


def _cautions(food: Food, line: Line) -> list[Finding]:
    """The usual cautions for a food: of the food, of the food in this form, of its kind."""
    places = (f"food:{food.key.food}", f"food:{food.key.food}/{food.key.form}", f"kind:{food.kind}")
    told = (row for place in places for row in cautions().get(place, ()))
    return [caution(Kind.CAUTION, row["sentence"], line.text, row["next_step"]) for row in told]


def _lifted_out(food: Food, line: Line) -> list[Finding]:
    """A bulb that is taken out again is counted in full: what stays behind depends on oil or water."""
    if food.kind != "allium" or not _LIFTED.search(line.text.lower()):
        return []
    sentence = f"{food.label} is counted in full although it is taken out again."
    step = (
        "Fried in oil alone and lifted out before anything watery goes in, next to nothing stays: write the oil as "
        "garlic-infused or onion-infused oil. Simmered in sauce or stock, much of its fructan stays."
    )
    return [ask(Kind.LIFTED_OUT, sentence, line.text, step)]


def _label_check(food: Food, line: Line) -> tuple[Finding, ...]:
    if not food.check_label:
        return ()
    return (
        note(
            Kind.CHECK_LABEL,
            f"{food.label}: {food.check_label}",
            line.text,
            "Read the packet's ingredient list.",
        ),
    )


def _is_heading(line: Line) -> bool:
    return any(finding.kind is Kind.HEADING for finding in line.findings)
