"""The decision: one food in one form for a line, or a refusal.

Tries, in this order, and stops at the first that is a name as a whole::

    1. the phrase as written                          "ground cumin"
    2. the phrase with the words behind the comma      "tomatoes, cherry" -> "cherry tomatoes"
    3. without words that say nothing of content       "fresh ripe tomatoes" -> "tomatoes"
    4. without form words, which then set the form     "canned chickpeas" -> chickpea, canned
    5. with a plain misspelling put right               "paprkia" -> "paprika", told in a finding

Then the measure and the region choose among the rows of that name, and the preparation may change form or part
("green parts only"). What is left undecided is asked about, with the choices; nothing near is taken.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from lowsimmer.domain.findings import Finding, Kind, ask, note
from lowsimmer.domain.foods import Food, FoodKey
from lowsimmer.domain.lines import Line
from lowsimmer.matching.forms import prepared, stated_form
from lowsimmer.matching.names import UNDECIDED, Name, look_up, measure_of, narrowed, suggestions
from lowsimmer.matching.spelling import respelt
from lowsimmer.reference.catalogue import foods, forms
from lowsimmer.reference.phrases import normal
from lowsimmer.reference.words import Vocabulary, vocabulary


@dataclass(frozen=True, slots=True)
class Match:
    """What a line was taken for: `key` is None when it is refused; `food_name` stays when only the form is unclear."""

    line: Line
    key: FoodKey | None
    food_name: str = ""
    findings: tuple[Finding, ...] = ()

    @property
    def food(self) -> Food | None:
        """The row of the catalogue, or None."""
        return foods()[self.key] if self.key else None


@dataclass(frozen=True, slots=True)
class _Found:
    """A name that was recognised, with the form words that stood beside it and how it was respelt."""

    names: tuple[Name, ...]
    meanings: tuple[str, ...] = ()
    respelt: str = ""


def match(line: Line, region: str = "") -> Match:
    """The food and form of a line; findings say what was assumed or why it was refused."""
    if not line.name:
        return Match(line, None)
    found = _find(line)
    if found is None:
        return _refused(line)
    measure = measure_of(line.amount)
    names = narrowed(found.names, measure, region)
    if not _decided(names) and (other := _prepared_name(line)):
        found, names = other, narrowed(other.names, measure, region) or names
    if len({each.food for each in names}) != 1:
        return _undecided_food(line, names or found.names, region)
    return _in_form(line, found, names[0])


def _decided(names: tuple[Name, ...]) -> bool:
    return len({each.food for each in names}) == 1 and names[0].form != UNDECIDED


def _find(line: Line) -> _Found | None:
    name = normal(line.name)
    beside = _beside(line)
    deciding = [each for each in beside if vocabulary().classes.get(each) == "deciding"]
    if deciding:
        return _with(name, deciding)
    for words in beside:
        if not _only_preparation(words) and (found := look_up(f"{words} {name}") or look_up(f"{name} {words}")):
            return _Found(found)
    found = look_up(name)
    return _Found(found) if found else _stripped(name) or _corrected(name)


def _prepared_name(line: Line) -> _Found | None:
    """A name that says more together with its preparation: "ginger, grated" is fresh ginger."""
    for words in _beside(line):
        if found := look_up(f"{words} {normal(line.name)}"):
            return _Found(found)
    return None


def _only_preparation(words: str) -> bool:
    classes = vocabulary().classes
    return all(classes.get(word) in {"prep", "manner"} or word == "and" for word in words.split())


def _beside(line: Line) -> list[str]:
    """What stands behind the comma and in brackets: "tomatoes, cherry", "macaroni (gluten free)"."""
    classes = vocabulary().classes
    phrases = [normal(words) for words in (*line.preparation.split(","), *line.notes) if words]
    return [" ".join(word for word in phrase.split() if classes.get(word) != "manner") for phrase in phrases]


def _with(name: str, deciding: list[str]) -> _Found | None:
    """A word that decides the food (gluten-free) counts wherever it stands; without such a food the line is refused."""
    bare = " ".join(_without(name.split(), vocabulary(), {"neutral", "prep", "manner", "form"}))
    for words in deciding:
        for each in (name, bare):
            if found := look_up(f"{words} {each}") or look_up(f"{each} {words}"):
                return _Found(found)
    return None


def _corrected(name: str) -> _Found | None:
    respelt_name = respelt(name)
    if not respelt_name:
        return None
    rows = look_up(respelt_name)
    found = _Found(rows) if rows else _stripped(respelt_name)
    return replace(found, respelt=respelt_name) if found else None


def _stripped(name: str) -> _Found | None:
    """Without describing words, one after the other, then without form words; the rest must be a name as a whole."""
    words = vocabulary()
    every = name.split()
    for tried in _fewer(every, words):
        rows = look_up(" ".join(tried))
        if rows:
            return _Found(rows)
    meanings = tuple(words.forms[each] for each in every if each in words.forms)
    for tried in _fewer(_without(every, words, {"form"}), words) if meanings else ():
        rows = look_up(" ".join(tried))
        if rows:
            return _Found(rows, meanings)
    return None


def _fewer(parts: list[str], words: Vocabulary) -> Iterator[list[str]]:
    """The words without preparation, then without neutral words (the first first), then without the cut at the end."""
    kept = _without(parts, words, {"prep", "manner"})
    yield kept
    for place in range(len(kept)):
        yield _without(kept[: place + 1], words, {"neutral"}) + kept[place + 1 :]
    kept = _without(kept, words, {"neutral"})
    yield kept
    yield _without_cut(kept, words)


def _without_cut(parts: list[str], words: Vocabulary) -> list[str]:
    """Without a last word that only says in what pieces: lime wedges, cauliflower florets."""
    return parts[:-1] if len(parts) > 1 and words.classes.get(parts[-1]) == "cut" else parts


def _without(parts: list[str], words: Vocabulary, classes: set[str]) -> list[str]:
    kept = []
    place = 0
    while place < len(parts):
        pair = " ".join(parts[place : place + 2])
        if words.classes.get(pair) in classes or words.classes.get(pair.replace(" ", "-")) in classes:
            place += 2
            continue
        if words.classes.get(parts[place]) not in classes:
            kept.append(parts[place])
        place += 1
    return kept


def _in_form(line: Line, found: _Found, name: Name) -> Match:
    form, remarks = name.form, _respelling(line, found)
    for meaning in _meanings(line, found, form):
        stated, keep = stated_form(name.food, meaning)
        if not stated and not keep:
            return _form_not_known(line, name.food, meaning)
        form = stated or form
        if keep and not stated and meaning != "fresh":
            remarks.append(_kept(line, meaning))
    key = FoodKey(name.food, form)
    weighed_dry = form == "dry" and bool({"dry", "dried"} & set(found.meanings))
    phrase = ""
    if not weighed_dry:  # "dried beans, cooked" were weighed dry, and all that leaves them leaves with the water
        key, phrase = prepared(key, normal(" ".join((line.preparation, *line.notes))))
    if phrase:
        remarks.append(note(Kind.FORM_ASSUMED, f"'{phrase}' makes it {foods()[key].label}.", line.text))
    if key.form == UNDECIDED:
        return _undecided_form(line, key.food)
    if key.form == "canned-drained" and not phrase and "drained" not in line.preparation:
        remarks.append(note(Kind.FORM_ASSUMED, f"'{line.name}' is taken as drained (common practice).", line.text))
    return Match(line, key, key.food, tuple(remarks))


def _meanings(line: Line, found: _Found, form: str) -> tuple[str, ...]:
    """The form words of the name; a can says 'canned' even where the words do not."""
    in_can = line.amount is not None and line.amount.unit == "can" and not form.startswith("canned")
    return (*found.meanings, "canned") if in_can and "canned" not in found.meanings else found.meanings


def _respelling(line: Line, found: _Found) -> list[Finding]:
    if not found.respelt:
        return []
    return [note(Kind.SPELLING, f"'{line.name}' is read as '{found.respelt}'.", line.text)]


def _kept(line: Line, meaning: str) -> Finding:
    return note(
        Kind.FORM_ASSUMED,
        f"'{line.name}': {meaning} counts as the plain food; the groups stay in it.",
        line.text,
    )


def _refused(line: Line) -> Match:
    near = suggestions(normal(line.name))
    step = f"Did you mean: {', '.join(near)}? Write that name." if near else "Write another name."
    finding = ask(Kind.NOT_MATCHED, f"'{line.name}' is not in the catalogue.", line.text, step, near)
    return Match(line, None, "", (finding,))


def _form_not_known(line: Line, food: str, meaning: str) -> Match:
    known = tuple(foods()[FoodKey(food, form)].label for form in forms()[food])
    finding = ask(
        Kind.FORM_NOT_KNOWN,
        f"'{line.name}': the catalogue has no {meaning} form of this food.",
        line.text,
        f"Known forms: {'; '.join(known)}.",
        known,
    )
    return Match(line, None, food, (finding,))


def _undecided_form(line: Line, food: str) -> Match:
    known = tuple(foods()[FoodKey(food, form)].label for form in forms()[food])
    finding = ask(
        Kind.FORM_UNCLEAR,
        f"'{line.name}' does not say in which form, and the forms differ.",
        line.text,
        f"Say which: {'; '.join(known)}.",
        known,
    )
    return Match(line, None, food, (finding,))


def _undecided_food(line: Line, names: tuple[Name, ...], region: str) -> Match:
    known = tuple(dict.fromkeys(_label(each) for each in names))
    finding = ask(
        Kind.FORM_UNCLEAR,
        f"'{line.name}' means different foods by region or by measure.",
        line.text,
        f"Say which, for example: {'; '.join(known)}." + ("" if region else " Or state the region of the dish."),
        known,
    )
    return Match(line, None, "", (finding,))


def _label(name: Name) -> str:
    form = name.form if name.form != UNDECIDED else forms()[name.food][0]
    return foods()[FoodKey(name.food, form)].label
