"""Words that change the form or the part of a food: canned, dried, green parts only, juiced."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from lowsimmer.domain.foods import FoodKey
from lowsimmer.reference.catalogue import foods, forms
from lowsimmer.reference.table import rows


@dataclass(frozen=True, slots=True)
class FormChoice:
    """What a form word means on one shelf: the forms to try, and whether the food's own form may stay."""

    forms: tuple[str, ...]
    keep: bool


@dataclass(frozen=True, slots=True)
class FormRule:
    """One row of form_rules.csv."""

    phrase: str
    pattern: re.Pattern[str]
    applies_to: str
    to_food: str
    to_form: str


@cache
def choices() -> dict[tuple[str, str], FormChoice]:
    """(meaning, kind or '*') -> what to do."""
    return {
        (row["means"], kind): FormChoice(tuple(row["forms"].split("|")), row["otherwise"] == "keep")
        for row in rows("form_choices.csv")
        for kind in row["kinds"].split("|")
    }


@cache
def rules() -> tuple[FormRule, ...]:
    """The rules for words behind the comma, in order."""
    return tuple(
        FormRule(
            row["phrase"],
            re.compile(rf"\b{re.escape(row['phrase'])}\b"),
            row["applies_to"],
            row["to_food"],
            row["to_form"],
        )
        for row in rows("form_rules.csv")
    )


def stated_form(food: str, meaning: str) -> tuple[str, bool]:
    """The form of this food that a form word means, and True when the word leaves the food's own form in place.

    ('', False) when the catalogue has no such form.
    """
    kind = foods()[FoodKey(food, forms()[food][0])].kind
    choice = choices().get((meaning, kind)) or choices().get((meaning, "*"))
    if choice is None:
        return "", False
    for form in choice.forms:
        if form in forms()[food]:
            return form, False
    return "", choice.keep


def prepared(key: FoodKey, words: str) -> tuple[FoodKey, str]:
    """The food and form after the words of the preparation, and the phrase that changed it ('' for none)."""
    for rule in rules():
        if _applies(rule, key) and rule.pattern.search(words):
            if rule.to_form == "=":
                return key, ""
            target = FoodKey(rule.to_food or key.food, rule.to_form)
            if target.form == "canned-rinsed" and target not in foods():
                target = FoodKey(target.food, "canned-drained")
            if target in foods() and target != key:
                return target, rule.phrase
    return key, ""


def _applies(rule: FormRule, key: FoodKey) -> bool:
    """A rule holds for a food, a kind or a form; a form still undecided ('?') takes the kind's rules."""
    what, _, which = rule.applies_to.rpartition(":")
    if what == "form":
        return key.form == which
    if what == "kind":
        return foods()[FoodKey(key.food, forms()[key.food][0])].kind == which
    return key.food == which
