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
from lowsimmer.reading.naming import NameReader
from lowsimmer.reading.tidy import LONGEST_LINE, tidy
from lowsimmer.reference.words import VAGUE, Vocabulary, vocabulary

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
    r"|,? *\bto (serve|garnish|finish|decorate|season|grease|dust|drizzle|coat|sprinkle|top)\b.*$"
)
_ASIDE_WORD = re.compile(r"option|\bif |more|extra|\bor |taste|needed|required|desired|\bfor |\bto |enough")
_CUT = re.compile(r", | - |; |,$| – ")
_MAY_CUT = re.compile(r"[,;–]| - ").search
_AMOUNT_BEHIND = re.compile(r"^(\D+?)[ :]+(?=[\d½])(.+)$")
_AND_MORE = re.compile(r"^(.+?) and (?=\d|an? )(.+)$")
_TOO_MANY_DIGITS = re.compile(r"\d{9}")
_OPENING = re.compile(r"^(?:optional(?:ly)?[:,] *|between (?=\d))")
_HEADING = re.compile(r"^(?:for (?:the )?)?[^,\d]{1,60}:$|^for the [^,\d]{1,40}$", re.IGNORECASE)
_ADDRESS = re.compile(r"https?://|www\.")
_LETTER = re.compile(r"[^\W\d_]{2}")

_USE_UNITS = {
    "frying": "for frying", "sauteing": "for frying", "cooking": "for frying", "brushing": "for greasing",
    "greasing": "for greasing", "oiling": "for greasing", "dusting": "dusting", "sprinkling": "dusting",
    "seasoning": "to taste", "season": "to taste", "grease": "for greasing", "rolling": "dusting",
    "drizzling": "drizzle", "drizzle": "drizzle", "dust": "dusting", "coat": "dusting", "sprinkle": "dusting",
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
        self.names = NameReader(words)
        self._steps = (
            self._part_of, self._amount, self._brackets, self._asides, self._preparation, self._name,
            self._unit_behind, self._choose_informal,
        )  # fmt: skip

    def read(self, text: str, component: str = "") -> Line:
        """The line as a record. Text without a name gives a record with an empty name and a finding."""
        if len(text) > LONGEST_LINE or not _LETTER.search(text) or _ADDRESS.search(text):
            return self._refused(text, component)
        if _TOO_MANY_DIGITS.search(text):
            return replace(self._refused(text, component), findings=(_absurd_finding(text),))
        draft = _Draft(text, tidy(text).lower())
        if (draft.rest.endswith(":") or draft.rest.startswith("for ")) and _HEADING.match(draft.rest):
            return Line(text[:LONGEST_LINE].strip(), "", findings=(_heading(draft.rest),), component=component)
        for step in self._steps:
            step(draft)
        return self._finish(draft, component)

    def steps(self, text: str) -> Iterator[tuple[str, str]]:
        """Every step for one line: its name and what the line looked like after it."""
        draft = _Draft(text, tidy(text).lower())
        yield "tidy", draft.rest
        for step in self._steps if not _TOO_MANY_DIGITS.search(text) else ():
            step(draft)
            yield step.__name__.strip("_").replace("_", " "), _picture(draft)

    def _refused(self, text: str, component: str) -> Line:
        finding = ask(
            Kind.NOT_UNDERSTOOD,
            f"'{text[:60].strip()}' is not an ingredient line.",
            text[:60],
            "Write amount, unit and food, for example '200 g firm tofu, drained'.",
        )
        return Line(text[:LONGEST_LINE].strip(), "", findings=(finding,), component=component)

    def _part_of(self, draft: _Draft) -> None:
        if " of " not in draft.rest and " from " not in draft.rest:
            return
        part, draft.rest = self.names.part_before(draft.rest)
        draft.preparation += [part] if part else []
        match = _PART_OF.match(draft.rest)
        if match:
            draft.part = " and ".join(filter(None, match.groups()))
            how = [word for word in match.group().split() if self.names.is_prep(word)]
            draft.preparation += [" ".join(how)] if how else []
            draft.rest = draft.rest[match.end() :]

    def _amount(self, draft: _Draft) -> None:
        opening = _OPENING.match(draft.rest)
        if opening:
            draft.optional = opening.group().startswith("opt")
            draft.rest = draft.rest[opening.end() :].replace(" and ", " to ", 0 if draft.optional else 1)
        minus = draft.rest.startswith("-") and draft.rest[1:2].isdigit()
        front = self.amounts.front(draft.rest[1:] if minus else draft.rest)
        draft.amount, draft.also = front.amount, front.also
        draft.rest = draft.rest[front.end + minus :].strip(" .:").removeprefix("x ")
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
        elif inside in SIZES and draft.amount:
            draft.amount = replace(draft.amount, size=SIZES[inside])
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
        more = _PLUS_MORE.search(rest)
        if more:
            draft.preparation.append(more.group().strip(" ,"))
            rest = rest[: more.start()]
        if more or any(_PLUS_MORE.match(each) for each in draft.notes):
            draft.findings.append(
                note(Kind.PLUS_MORE, "The line asks for more than its amount; the amount is counted.")
            )
        return rest

    @staticmethod
    def _without_use(draft: _Draft, rest: str, taste: bool) -> str:
        """Take off 'for frying', 'to serve'; without another amount that (or 'to taste') is the amount."""
        use = _FOR_USE.search(rest)
        rest = rest[: use.start()] if use else rest
        if draft.amount is None and not draft.findings and (taste or use):
            draft.amount = Amount(exactly(1.0), "to taste" if taste else _use_unit(use))
        elif use:
            draft.preparation.append(use.group().strip(" ,"))
        return rest

    def _preparation(self, draft: _Draft) -> None:
        """Cut at the comma; words before it that only describe ("boneless, skinless thighs") stay with the name."""
        parts = (
            [part.strip() for part in _CUT.split(draft.rest) if part.strip()] if _MAY_CUT(draft.rest) else [draft.rest]
        )
        while len(parts) > 1 and self._only_describes(parts[0]):
            parts[:2] = [f"{parts[0]} {parts[1]}"]
        draft.name = parts[0] if parts else ""
        if not draft.findings and (draft.amount is None or draft.amount.unit in _USE_UNITS.values()):
            parts = self._amount_behind(draft, parts)
        draft.preparation[:0] = parts[1:]

    def _amount_behind(self, draft: _Draft, parts: list[str]) -> list[str]:
        """`strong flour, 475 g`, `garlic - 2 cloves`, `rice 1 cup`: the amount stands behind the name."""
        for part in parts[1:]:
            if found := self._bare_amount(part):
                draft.amount = found
                return [each for each in parts if each is not part]
        behind = _AMOUNT_BEHIND.match(draft.name)
        if behind and (found := self._bare_amount(behind.group(2))):
            draft.name, draft.amount = behind.group(1).strip(), found
        return parts

    def _bare_amount(self, text: str) -> Amount | None:
        """An amount that makes up the whole of a text; a bare number counts pieces."""
        front = self.amounts.front(text) if text[:1].isdigit() else None
        if front is None or front.amount is None or _absurd(front.amount):
            return None
        return front.amount if front.end >= len(text.strip()) else None

    def _only_describes(self, phrase: str) -> bool:
        if self.words.meaning(phrase):
            return False
        classes = self.words.classes
        return phrase in classes or all(word in classes or word in SIZES for word in phrase.split())

    def _name(self, draft: _Draft) -> None:
        draft.name, beside = self.names.apart(draft.name)
        if beside:
            draft.preparation.insert(0, beside)
        words = draft.name.split()
        front, behind = self.names.split_front(words), self.names.split_behind(words)
        if behind:
            draft.preparation.insert(0, " ".join(words[-behind:]))
            del words[-behind:]
        if front:
            draft.preparation.insert(0, " ".join(words[:front]))
            del words[:front]
        if len(words) > 1 and words[0] in SIZES and draft.amount and not self.words.meaning(" ".join(words)):
            size = SIZES[words.pop(0)]
            draft.amount = replace(draft.amount, size=draft.amount.size or size)
        draft.name = " ".join(words)

    def _unit_behind(self, draft: _Draft) -> None:
        """`4 garlic cloves`, `2 celery stalks`: the unit stands behind the name."""
        words = draft.name.split()
        if draft.amount is None or draft.amount.unit or not (unit := self.names.unit_behind(words)):
            return
        draft.amount = replace(draft.amount, unit=unit)
        draft.name = " ".join(words[:-1])

    def _choose_informal(self, draft: _Draft) -> None:
        """`3 cloves` alone: a unit without a name is the name; mark informal amounts; name a juice."""
        amount = draft.amount
        if not draft.name and amount and self.words.kinds.get(amount.unit) == "count":
            draft.name, draft.amount = amount.unit, replace(amount, unit="")
        draft.informal = bool(amount and self.words.kinds.get(amount.unit) in VAGUE)
        both = _ZEST_FIRST.search(" ".join(draft.preparation)) if draft.preparation else None
        if both and not draft.part:
            draft.part = f"{both.group(1)} and {both.group(2)}"

    def _finish(self, draft: _Draft, component: str) -> Line:
        if not draft.name:
            return self._refused(draft.text, component)
        names = self.names.alternatives(draft.name)
        if draft.part:
            names = [f"{_one_fruit(names[0])} {part}" for part in draft.part.split(" and ")]
            return self._record(draft, names[0], component, together=tuple(names[1:]))
        if len(names) > 1:
            return self._record(draft, names[0], component, alternatives=tuple(names[1:]))
        return self._pair(draft, component)

    def _pair(self, draft: _Draft, component: str) -> Line:
        """`salt and pepper`, and `1 tbsp butter and 2 tbsp oil` where the second food has an amount of its own."""
        maybe = " and " in draft.name and not self.words.meaning(draft.name)
        more = _AND_MORE.match(draft.name) if maybe else None
        if more and (second := self.read(more.group(2), component)).name and second.amount:
            first = self._record(draft, more.group(1), component)
            return replace(first, together=(replace(second, text=first.text),))
        measured = draft.amount is not None and not draft.informal
        first_name, *others = self.names.together(draft.name, measured)
        return self._record(draft, first_name, component, alternatives=self._in_notes(draft), together=tuple(others))

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


_MOST = {"gram": 1e5, "millilitre": 1e5, "milligram": 1e7}
_MOST_PIECES = 1000


def _absurd(amount: Amount) -> bool:
    """Zero, or more than any kitchen holds: 1,000 of a thing, 100 kg, 100 l."""
    if amount.number.value <= 0 or amount.number.high > _MOST.get(amount.unit, _MOST_PIECES):
        return True
    return bool((amount.pack and _absurd(amount.pack)) or (amount.plus and _absurd(amount.plus)))


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
