"""Words that change the form or the part of a food: canned, dried, green parts only, juiced."""

from __future__ import annotations

import re
from collections.abc import Iterator
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
def rules() -> dict[str, tuple[FormRule, ...]]:
    """What a rule applies to (a food key, kind:KIND, form:FORM) -> its rules, in order."""
    found: dict[str, list[FormRule]] = {}
    for row in rows("form_rules.csv"):
        pattern = re.compile(rf"\b{re.escape(row['phrase'])}\b")
        rule = FormRule(row["phrase"], pattern, row["to_food"], row["to_form"])
        found.setdefault(row["applies_to"], []).append(rule)
    return {what: tuple(each) for what, each in found.items()}


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
    if not words:
        return key, ""
    for rule in _rules_for(key):
        if rule.pattern.search(words):
            target = _target(rule, key)
            if target == key or target in foods():
                return target, rule.phrase if target != key else ""
    return key, ""


def _rules_for(key: FoodKey) -> Iterator[FormRule]:
    """The rules of the food, of its form, of its kind; a form still undecided ('?') has the kind's rules too."""
    kind = foods()[FoodKey(key.food, forms()[key.food][0])].kind
    for what in (key.food, f"form:{key.form}", f"kind:{kind}"):
        yield from rules().get(what, ())


def _target(rule: FormRule, key: FoodKey) -> FoodKey:
    """What the rule makes of the food; a rinsed form that is not in the catalogue counts as drained."""
    if rule.to_form == "=":
        return key
    target = FoodKey(rule.to_food or key.food, rule.to_form)
    if target.form == "canned-rinsed" and target not in foods():
        return FoodKey(target.food, "canned-drained")
    return target
