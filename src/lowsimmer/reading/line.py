"""One ingredient line, from text to a record.

The steps, in order, each a small function that can be looked at alone (`steps`)::

    tidy       plain typography                        "½ cup (75 g) red onion, finely chopped"
    part of    juice or zest of a fruit                 ("juice of 1 lime")
    amount     number, unit, size, pack                 1/2 cup, also 75 g
    brackets   notes; an amount in one is a second one  ()
    asides     optional, plus more, to taste, for frying
    preparation  what stands behind the comma           finely chopped
    name       prep words before or behind the name     red onion
    choices    "a or b" -> alternatives, "a and b" -> together

The reader knows words, not foods: it is told which phrases are names only so that it does not take them apart.
What it cannot read it says in a finding; it never fails on text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache

from lowsimmer.domain.findings import Finding, Kind, ask, note
from lowsimmer.domain.lines import Amount, Line
from lowsimmer.domain.ranges import exactly
from lowsimmer.reading.amounts import SIZES, AmountReader
from lowsimmer.reading.tidy import LONGEST_LINE, tidy
from lowsimmer.reference.words import Vocabulary, vocabulary

_PART_OF = re.compile(
    r"^(?:the |freshly |fresh |squeezed |finely |grated |strips of |a squeeze of )*"
    r"(juice|zest|rind)(?: (?:and|plus) (?:the |finely |grated )*(juice|zest|rind))? (?:of|from) "
)
_ZEST_FIRST = re.compile(r"\b(juice|zest)(?:d)? (?:and|plus) (juice|zest)(?:d)?\b")
_BRACKETS = re.compile(r" *\(([^()]*)\)| *\[([^\[\]]*)\]")
_OPTIONAL = re.compile(r",? *\(?\b(?:optional(?:ly)?|if (?:you )?(?:like|liked|desired|wish)|if using)\b\)?")
_PLUS_MORE = re.compile(r",? *(?:\bplus|\+|\band) (?:a (?:little|few|bit) |some )?(?:more|extra)\b.*$")
_OR_MORE = re.compile(r",? *\bor (?:more|less|so|as needed|as required|to taste|enough)\b.*$")
_TO_TASTE = re.compile(r",? *\b(?:(?:add(?:ed)?|or|season) )?(?:to taste|as needed|as required|as desired)\b")
_FOR_USE = re.compile(
    r",? *\bfor (?:the )?(?:pan |deep |shallow |pan-)?"
    r"(frying|sauteing|brushing|greasing|oiling|garnish(?:ing)?|serving|dusting|decorat(?:ing|ion)|"
    r"sprinkling|drizzling|topping|rolling|scattering|cooking|seasoning|to serve)\b.*$"
    r"|,? *\bto (serve|garnish|finish|decorate|season|grease)\b.*$"
)
_ASIDE_WORD = re.compile(r"option|\bif |more|extra|\bor |taste|needed|required|desired|\bfor |\bto |enough")
_CUT = re.compile(r", | - |; |,$| – ")
_MAY_CUT = re.compile(r"[,;–]| - ").search
_OR = re.compile(r" (?:or|/) ")
_AND = re.compile(r" and (?!a half)")
_HEADING = re.compile(r"^(?:for (?:the )?)?[^,\d]{1,60}:$", re.IGNORECASE)
_LETTER = re.compile(r"[^\W\d_]{2}")

_USE_UNITS = {
    "frying": "for frying", "sauteing": "for frying", "cooking": "for frying", "brushing": "for greasing",
    "greasing": "for greasing", "oiling": "for greasing", "dusting": "dusting", "sprinkling": "dusting",
    "seasoning": "to taste", "season": "to taste", "grease": "for greasing", "rolling": "dusting",
    "drizzling": "drizzle",
}  # fmt: skip


@dataclass(slots=True)
class _Draft:
    """A line while it is being read; `rest` is what no step has claimed yet."""

    text: str
    rest: str
    amount: Amount | None = None
    also: Amount | None = None
    name: str = ""
    preparation: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    part: str = ""
    optional: bool = False
    informal: bool = False
    findings: list[Finding] = field(default_factory=list)


class LineReader:
    """Reads ingredient lines with one vocabulary; keeps no state between lines."""

    def __init__(self, words: Vocabulary) -> None:
        self.words = words
        self.amounts = AmountReader(words)
        self._steps = (
            self._part_of, self._amount, self._brackets, self._asides, self._preparation, self._name,
            self._unit_behind, self._choose_informal,
        )  # fmt: skip

    def read(self, text: str, component: str = "") -> Line:
        """The line as a record. Text without a name gives a record with an empty name and a finding."""
        if len(text) > LONGEST_LINE or not _LETTER.search(text):
            return self._refused(text, component)
        draft = _Draft(text, tidy(text).lower())
        if draft.rest.endswith(":") and _HEADING.match(draft.rest):
            return Line(text[:LONGEST_LINE], "", findings=(_heading(draft.rest),), component=component)
        for step in self._steps:
            step(draft)
        return self._finish(draft, component)

    def steps(self, text: str) -> Iterator[tuple[str, str]]:
        """Every step for one line: its name and what the line looked like after it."""
        draft = _Draft(text, tidy(text).lower())
        yield "tidy", draft.rest
        for step in self._steps:
            step(draft)
            yield step.__name__.strip("_").replace("_", " "), _picture(draft)

    def _refused(self, text: str, component: str) -> Line:
        finding = ask(
            Kind.NOT_UNDERSTOOD,
            f"'{text[:60].strip()}' is not an ingredient line.",
            text[:60],
            "Write amount, unit and food, for example '200 g firm tofu, drained'.",
        )
        return Line(text[:LONGEST_LINE], "", findings=(finding,), component=component)

    def _part_of(self, draft: _Draft) -> None:
        match = _PART_OF.match(draft.rest) if " of " in draft.rest or " from " in draft.rest else None
        if match:
            draft.part = " and ".join(filter(None, match.groups()))
            draft.rest = draft.rest[match.end() :]

    def _amount(self, draft: _Draft) -> None:
        minus = draft.rest.startswith("-") and draft.rest[1:2].isdigit()
        front = self.amounts.front(draft.rest[1:] if minus else draft.rest)
        draft.amount, draft.also = front.amount, front.also
        draft.rest = draft.rest[front.end + minus :].strip(" .:")
        if front.amount and (minus or _absurd(front.amount)):
            draft.amount = draft.also = None
            draft.findings.append(_absurd_finding(draft.text))

    def _brackets(self, draft: _Draft) -> None:
        if "(" not in draft.rest and "[" not in draft.rest:
            return
        for match in _BRACKETS.finditer(draft.rest):
            self._take_note(draft, (match.group(1) or match.group(2) or "").strip())
        draft.rest = _BRACKETS.sub("", draft.rest).strip(" ()[]")

    def _take_note(self, draft: _Draft, inside: str) -> None:
        if _OPTIONAL.fullmatch(inside):
            draft.optional = True
        elif amount := self.amounts.whole(inside):
            draft.also = draft.also or amount
        elif inside:
            draft.notes.append(inside)

    def _asides(self, draft: _Draft) -> None:
        rest = draft.rest
        if draft.notes or _ASIDE_WORD.search(rest):
            rest, found = _OPTIONAL.subn("", rest)
            draft.optional = draft.optional or bool(found)
            rest = self._without_more(draft, rest)
            rest, taste = _TO_TASTE.subn("", _OR_MORE.sub("", rest))
            rest = self._without_use(draft, rest, bool(taste))
        draft.rest = rest.strip(" ,.;")

    @staticmethod
    def _without_more(draft: _Draft, rest: str) -> str:
        rest, more = _PLUS_MORE.subn("", rest)
        if more or any(_PLUS_MORE.match(each) for each in draft.notes):
            draft.findings.append(
                note(Kind.PLUS_MORE, "The line asks for more than its amount; the amount is counted.")
            )
        return rest

    @staticmethod
    def _without_use(draft: _Draft, rest: str, taste: bool) -> str:
        """Take off 'for frying', 'to serve'; without another amount that (or 'to taste') is the amount."""
        use = _FOR_USE.search(rest)
        if use:
            draft.preparation.append(use.group().strip(" ,"))
            rest = rest[: use.start()]
        if draft.amount is None and not draft.findings and (taste or use):
            draft.amount = Amount(exactly(1.0), "to taste" if taste else _use_unit(use))
        return rest

    def _preparation(self, draft: _Draft) -> None:
        """Cut at the comma; words before it that only describe ("boneless, skinless thighs") stay with the name."""
        parts = (
            [part.strip() for part in _CUT.split(draft.rest) if part.strip()] if _MAY_CUT(draft.rest) else [draft.rest]
        )
        while len(parts) > 1 and self._only_describes(parts[0]):
            parts[:2] = [f"{parts[0]} {parts[1]}"]
        draft.name = parts[0] if parts else ""
        if draft.amount is None and not draft.findings:
            draft.amount = next((found for part in parts[1:] if (found := self.amounts.whole(part))), None)
        draft.preparation[:0] = parts[1:]

    def _only_describes(self, phrase: str) -> bool:
        if self.words.meaning(phrase):
            return False
        classes = self.words.classes
        return phrase in classes or all(word in classes or word in SIZES for word in phrase.split())

    def _name(self, draft: _Draft) -> None:
        words = draft.name.split()
        front: list[str] = []
        while len(words) > 1 and not self._known(words) and self._is_prep(words[0]):
            front.append(words.pop(0))
            while words[0] == "and" and len(words) > 2 and self._is_prep(words[1]):
                front += [words.pop(0), words.pop(0)]
        behind = self._prep_behind(words)
        if behind:
            draft.preparation.insert(0, " ".join(behind))
        if front:
            draft.preparation.insert(0, " ".join(front))
        if len(words) > 1 and words[0] in SIZES and not self._known(words) and draft.amount:
            size = SIZES[words.pop(0)]
            draft.amount = replace(draft.amount, size=draft.amount.size or size)
        draft.name = " ".join(words)

    def _prep_behind(self, words: list[str]) -> list[str]:
        """`carrots peeled and diced`: prep words behind the name, taken off the list."""
        cut = len(words)
        while cut > 1 and (self._is_prep(words[cut - 1]) or (words[cut - 1] == "and" and cut < len(words))):
            cut -= 1
        behind, words[cut:] = words[cut:], []
        return behind

    def _is_prep(self, word: str) -> bool:
        return self.words.classes.get(word) in {"prep", "manner"}

    def _known(self, words: list[str]) -> bool:
        return bool(self.words.meaning(" ".join(words)))

    def _unit_behind(self, draft: _Draft) -> None:
        """`4 garlic cloves`, `2 celery stalks`: the unit stands behind the name."""
        words = draft.name.split()
        if draft.amount is None or draft.amount.unit or len(words) < 2:
            return
        unit = self.words.units.get(words[-1], "")
        if self.words.kinds.get(unit) in {"count", "container"} and self._same_without(words):
            draft.amount = replace(draft.amount, unit=unit)
            draft.name = " ".join(words[:-1])

    def _same_without(self, words: list[str]) -> bool:
        """True unless the last word belongs to the name: celery stalk is celery, but bay leaf is not bay."""
        whole = self.words.meaning(" ".join(words))
        return not whole or bool(whole & self.words.meaning(" ".join(words[:-1])))

    def _choose_informal(self, draft: _Draft) -> None:
        """`3 cloves` alone: a unit without a name is the name; mark informal amounts; name a juice."""
        amount = draft.amount
        if not draft.name and amount and self.words.kinds.get(amount.unit) == "count":
            draft.name, draft.amount = amount.unit, replace(amount, unit="")
        draft.informal = bool(amount and self.words.kinds.get(amount.unit) == "informal")
        both = _ZEST_FIRST.search(" ".join(draft.preparation)) if draft.preparation else None
        if both and not draft.part:
            draft.part = f"{both.group(1)} and {both.group(2)}"

    def _finish(self, draft: _Draft, component: str) -> Line:
        if not draft.name:
            return self._refused(draft.text, component)
        names = self._alternative_names(draft.name)
        if draft.part:
            names = [f"{_one_fruit(names[0])} {part}" for part in draft.part.split(" and ")]
            return self._record(draft, names[0], component, together=tuple(names[1:]))
        if len(names) > 1:
            return self._record(draft, names[0], component, alternatives=tuple(names[1:]))
        first, *others = self._together(draft)
        return self._record(draft, first, component, alternatives=self._in_notes(draft), together=tuple(others))

    def _alternative_names(self, name: str) -> list[str]:
        """`chicken or vegetable stock` -> both in full; one name when there is no choice."""
        if " or " not in name and "/" not in name:
            return [name]
        parts = [part.strip() for part in _OR.split(name) if part.strip()]
        if len(parts) < 2 or name in self.words.names:
            return [name]
        head = parts[-1].split()[-1]
        return [*(self._with_head(part, head) for part in parts[:-1]), parts[-1]]

    def _with_head(self, part: str, head: str) -> str:
        full = f"{part} {head}"
        return full if self._known(full.split()) else part

    def _in_notes(self, draft: _Draft) -> tuple[str, ...]:
        if not draft.notes and not draft.preparation:
            return ()
        found = [each[3:].strip() for each in draft.notes if each.startswith("or ")]
        draft.preparation[:] = [each for each in draft.preparation if not self._is_choice(each, found)]
        return tuple(found)

    @staticmethod
    def _is_choice(phrase: str, found: list[str]) -> bool:
        if not phrase.startswith("or "):
            return False
        found.append(phrase[3:].strip())
        return True

    def _together(self, draft: _Draft) -> list[str]:
        """`salt and black pepper`: two foods only where no measured amount has to be shared and both are known."""
        measured = draft.amount and not draft.informal
        if measured or " and " not in draft.name or draft.name in self.words.names:
            return [draft.name]
        parts = _AND.split(draft.name)
        cleaned = [self._without_prep(part) for part in parts]
        return cleaned if len(parts) > 1 and all(self._known(part.split()) for part in cleaned) else [draft.name]

    def _without_prep(self, phrase: str) -> str:
        words = phrase.split()
        while (
            len(words) > 1
            and not self._known(words)
            and self.words.classes.get(words[0]) in {"prep", "manner", "neutral"}
        ):
            words.pop(0)
        return " ".join(words)

    def _record(
        self,
        draft: _Draft,
        name: str,
        component: str,
        alternatives: tuple[str, ...] = (),
        together: tuple[str, ...] = (),
    ) -> Line:
        line = Line(
            text=draft.text.strip(),
            name=name,
            amount=draft.amount,
            also=draft.also,
            preparation=", ".join(draft.preparation),
            notes=tuple(draft.notes),
            informal=draft.informal,
            optional=draft.optional,
            component=component,
            findings=tuple(draft.findings + self._remarks(draft, name, alternatives)),
        )
        if not alternatives and not together:
            return line
        return replace(
            line,
            alternatives=tuple(self._alternative(line, each) for each in alternatives),
            together=tuple(replace(line, name=each, findings=()) for each in together),
        )

    def _alternative(self, line: Line, phrase: str) -> Line:
        """The other reading: its own amount when it states one, else the amount of the line."""
        other = self.read(phrase)
        return replace(
            other, text=line.text, amount=other.amount or line.amount, also=other.also if other.amount else line.also,
            preparation=other.preparation or line.preparation, component=line.component, alternatives=(),
        )  # fmt: skip

    def _remarks(self, draft: _Draft, name: str, alternatives: tuple[str, ...]) -> list[Finding]:
        remarks = []
        if draft.optional:
            remarks.append(note(Kind.OPTIONAL, f"'{name}' is optional and is counted."))
        if alternatives:
            choice = ", ".join(f"'{each}'" for each in alternatives)
            remarks.append(note(Kind.ALTERNATIVES, f"'{name}' is counted; the line also allows {choice}."))
        if draft.amount is None and not any(each.kind is Kind.ABSURD_AMOUNT for each in draft.findings):
            remarks.append(ask(Kind.NO_AMOUNT, f"No amount is given for '{name}'.", draft.text, "Add an amount."))
        return remarks


def _heading(text: str) -> Finding:
    return note(Kind.HEADING, f"'{text}' is a heading, not an ingredient.")


def _one_fruit(name: str) -> str:
    return name.removesuffix("s") if not name.endswith("ss") else name


def _use_unit(use: re.Match[str] | None) -> str:
    word = (use.group(1) or use.group(2)) if use else ""
    return _USE_UNITS.get(word, "for garnish")


def _absurd(amount: Amount) -> bool:
    """Zero, or more than any kitchen holds: 1,000 of a thing, 100 kg, 100 l."""
    most = {"gram": 1e5, "millilitre": 1e5, "milligram": 1e7}.get(amount.unit, 1000)
    return amount.number.value <= 0 or amount.number.high > most


def _absurd_finding(text: str) -> Finding:
    return ask(
        Kind.ABSURD_AMOUNT,
        f"The amount in '{text.strip()[:60]}' is zero, negative or beyond any kitchen, so it is not used.",
        text[:60],
        "Correct the amount.",
    )


def _picture(draft: _Draft) -> str:
    parts = [
        f"rest={draft.rest!r}",
        f"name={draft.name!r}" if draft.name else "",
        f"amount={_words(draft.amount)}",
    ]
    parts += [f"also={_words(draft.also)}"] if draft.also else []
    parts += [f"preparation={draft.preparation}"] if draft.preparation else []
    parts += [f"notes={draft.notes}"] if draft.notes else []
    return " ".join(part for part in parts if part)


def _words(amount: Amount | None) -> str:
    if amount is None:
        return "none"
    number = amount.number
    shown = f"{number.value:g}" if number.exact else f"{number.low:g}-{number.high:g}"
    pack = f" of {_words(amount.pack)}" if amount.pack else ""
    plus = f" + {_words(amount.plus)}" if amount.plus else ""
    return " ".join(filter(None, [shown, amount.size, amount.unit])) + pack + plus


@cache
def reader() -> LineReader:
    """The reader with the vocabulary of the data files."""
    return LineReader(vocabulary())
