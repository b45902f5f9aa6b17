"""Findings: what the program noticed, as records rather than prints.

Every stage returns values *and* findings. The command line, the JSON and the tests read the same ones. A kind
is a name that scripts can rely on; its sentence in `MEANING` is the heading text of docs/findings.md, and a test
keeps the two alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters to the reader."""

    CAUTION = "caution"  # a person could be hurt
    ASK = "ask"  # the figures are incomplete until somebody answers
    NOTE = "note"  # shown so that nothing happens silently


class Kind(StrEnum):
    """Every kind of finding; the value is stable and documented."""

    NOT_UNDERSTOOD = "not-understood"
    HEADING = "heading"
    ABSURD_AMOUNT = "absurd-amount"
    NO_AMOUNT = "no-amount"
    NOT_MATCHED = "not-matched"
    SPELLING = "spelling"
    FORM_UNCLEAR = "form-unclear"
    FORM_NOT_KNOWN = "form-not-known"
    FORM_ASSUMED = "form-assumed"
    NO_GRAMS = "no-grams"
    INFORMAL_AMOUNT = "informal-amount"
    SIZE_ASSUMED = "size-assumed"
    ALTERNATIVES = "alternatives"
    OPTIONAL = "optional"
    PLUS_MORE = "plus-more"
    EDIBLE_PART = "edible-part"
    LIFTED_OUT = "lifted-out"
    REGION_MATTERS = "region-matters"
    NO_FIGURE = "no-figure"
    RECALLED_FIGURE = "recalled-figure"
    OWN_FIGURE = "own-figure"
    CHECK_LABEL = "check-label"
    CAUTION = "safety"
    SERVINGS_GUESSED = "servings-range"
    PORTION_BY_WEIGHT = "portion-by-weight"


MEANING: dict[Kind, str] = {
    Kind.NOT_UNDERSTOOD: "The line could not be read as an ingredient.",
    Kind.HEADING: "The line is a heading of a part of the dish, not an ingredient.",
    Kind.ABSURD_AMOUNT: "The amount is zero, negative or far beyond any kitchen, so it was not used.",
    Kind.NO_AMOUNT: "The line gives no amount, so its grams are unknown.",
    Kind.NOT_MATCHED: "The food is not in the catalogue under this name; nothing near was put in its place.",
    Kind.SPELLING: "A word was misspelt by one letter and only one word of the catalogue is that near; it is named.",
    Kind.FORM_UNCLEAR: "The name alone leaves the content undecided (dry or canned, say); the cook states the form.",
    Kind.FORM_NOT_KNOWN: "The food is known, but not in the form that the line states.",
    Kind.FORM_ASSUMED: "The line leaves the form open and common practice settles it; the assumed form is named.",
    Kind.NO_GRAMS: "No weight is known for this measure of this food.",
    Kind.INFORMAL_AMOUNT: "A pinch, a splash, to taste: a wide range stands for it.",
    Kind.SIZE_ASSUMED: "The line counts pieces without a size; the range covers small to large.",
    Kind.ALTERNATIVES: "The line offers a choice; the first food is counted and the other reading is shown.",
    Kind.OPTIONAL: "The line is optional; it is counted.",
    Kind.PLUS_MORE: "The line adds an open amount ('plus more for ...') that is not counted.",
    Kind.EDIBLE_PART: "The weight was taken as bought and reduced to the edible part.",
    Kind.LIFTED_OUT: "A bulb is cooked and taken out again; it is counted in full until the line says how.",
    Kind.REGION_MATTERS: "The word or the measure means different things by country; the reading used is named.",
    Kind.NO_FIGURE: "No figure is known for a group of this food; its grams are shown as unknown, not as zero.",
    Kind.RECALLED_FIGURE: "A figure that matters to the result was recalled from its source and not read again.",
    Kind.OWN_FIGURE: "Figures of the practitioner's own take part in the content of this food; the groups are named.",
    Kind.CHECK_LABEL: "A packet of this food can hide a FODMAP source or an allergen; read its label.",
    Kind.CAUTION: "A usual caution of food safety or of the diet applies.",
    Kind.SERVINGS_GUESSED: "The number of servings is a range; the smaller number is used, so servings are the larger.",
    Kind.PORTION_BY_WEIGHT: (
        "A portion in grams, spoons or cups is a share of the dish as its ingredients weigh together; what cooking "
        "drives off is not known."
    ),
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing noticed: kind, severity, a sentence, where, what to do next, and choices to pick from."""

    kind: Kind
    severity: Severity
    sentence: str
    where: str = ""
    next_step: str = ""
    choices: tuple[str, ...] = ()


def caution(kind: Kind, sentence: str, where: str = "", next_step: str = "") -> Finding:
    """A finding about possible harm."""
    return Finding(kind, Severity.CAUTION, sentence, where, next_step)


def ask(kind: Kind, sentence: str, where: str = "", next_step: str = "", choices: tuple[str, ...] = ()) -> Finding:
    """A finding that needs an answer."""
    return Finding(kind, Severity.ASK, sentence, where, next_step, choices)


def note(kind: Kind, sentence: str, where: str = "", next_step: str = "") -> Finding:
    """A finding that tells what was done."""
    return Finding(kind, Severity.NOTE, sentence, where, next_step)
