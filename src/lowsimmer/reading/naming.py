"""The middle of a line: what the food is called, with what is done to it taken off.

All of it works on words and on one question, answered by the vocabulary: what may this phrase mean as a name? A word
is taken off a phrase only when the rest means the same food in the same form, or when the whole is no name at all, so
that "ground cumin", "chopped tomatoes" (a tin) and "bay leaf" stay what they are.
"""

from __future__ import annotations

import re

from lowsimmer.reference.words import Vocabulary

_OR = re.compile(r" (?:or|/) ")
_AND = re.compile(r",? and (?!a half)|, ")
_PART_BEFORE = re.compile(
    r"^(?:the )?((?:dark |light |pale )?(?:green|white)s?(?: (?:parts?|ends?|tops?|leaves))?(?: only)?)"
    r" (?:of|from) (?=\d|an? |half )"
)
_PART_OF = re.compile(r"^(.*\b(?:parts?|ends?|tops?|greens|whites)(?: only)?) (?:of|from) (?:the )?(.+)$")
_IN_LIQUID = re.compile(
    r"^(.{3,}?) (in (?:their |its |own |natural |light |heavy |spring |olive |sunflower |vegetable |extra virgin )*"
    r"(?:oil|water|brine|juice|syrup))$"
)


class NameReader:
    """Takes phrases apart with one vocabulary."""

    def __init__(self, words: Vocabulary) -> None:
        self.words = words

    def is_prep(self, word: str) -> bool:
        """True for chopped, peeled, finely."""
        return self.words.classes.get(word) in {"prep", "manner"}

    def same(self, whole: str, rest: str) -> bool:
        """True when `whole` is no name, or means what `rest` means."""
        meaning = self.words.meaning(whole)
        return not meaning or bool(meaning & self.words.meaning(rest))

    def part_before(self, text: str) -> tuple[str, str]:
        """`green parts of 4 spring onions`: the part, and the rest of the line; ('', text) where there is none."""
        match = _PART_BEFORE.match(text)
        return (match.group(1), text[match.end() :]) if match else ("", text)

    def split_front(self, words: list[str]) -> int:
        """How many words in front are preparation: `finely chopped parsley` -> 2."""
        count = 0
        while count < len(words) - 1 and self._belongs(words, count):
            count += 1
        while count and words[count - 1] == "and":
            count -= 1
        return count if count and self.same(" ".join(words), " ".join(words[count:])) else 0

    def _belongs(self, words: list[str], place: int) -> bool:
        word = words[place]
        if word == "and":
            return place > 0
        return self.is_prep(word) or (word == "ground" and place > 0 and words[place - 1] == "freshly")

    def split_behind(self, words: list[str]) -> int:
        """How many words at the end are preparation: `carrots peeled and diced` -> 3."""
        cut = len(words)
        while cut > 1 and (self.is_prep(words[cut - 1]) or (words[cut - 1] == "and" and cut < len(words))):
            cut -= 1
        if cut == len(words):
            return 0
        if words[cut] == "and":
            cut += 1
        return len(words) - cut if self.same(" ".join(words), " ".join(words[:cut])) else 0

    def unit_behind(self, words: list[str]) -> str:
        """The unit at the end of a phrase (`garlic cloves`, `celery stalks`), '' when the word belongs to the name."""
        unit = self.words.units.get(words[-1], "") if len(words) > 1 else ""
        if self.words.kinds.get(unit) not in {"count", "container"}:
            return ""
        rest = " ".join(words[:-1])
        return unit if self.words.meaning(rest) and self.same(" ".join(words), rest) else ""

    def apart(self, name: str) -> tuple[str, str]:
        """`sardines in oil` and `green ends of spring onion`: the food, and what was said beside it."""
        if " " not in name or self.words.meaning(name):
            return name, ""
        liquid = _IN_LIQUID.match(name)
        if liquid:
            return liquid.group(1), liquid.group(2)
        part = _PART_OF.match(name)
        if part and self.words.meaning(part.group(2)):
            return part.group(2), part.group(1)
        return name, ""

    def alternatives(self, name: str) -> list[str]:
        """`chicken or vegetable stock` -> both in full; one name when there is no choice."""
        if " or " not in name and "/" not in name:
            return [name]
        parts = [part.strip() for part in _OR.split(name) if part.strip()]
        if len(parts) < 2 or self.words.meaning(name):
            return [name]
        *before, head = parts[-1].split()
        if not before:
            return parts
        return [*(self._with_head(part, head) for part in parts[:-1]), parts[-1]]

    def _with_head(self, part: str, head: str) -> str:
        """The part with the last word of the choice, where that makes a food of it: chicken -> chicken stock."""
        full = f"{part} {head}"
        meaning = self.words.meaning(full)
        if self.words.meaning(part) and head not in self.words.heads:
            return part
        return full if meaning and not meaning & self.words.meaning(part) else part

    def together(self, name: str, measured: bool) -> list[str]:
        """`salt and black pepper` -> both; `each cumin and coriander` -> both, with the amount for each.

        A measured amount is not shared out: "100 g carrots and peas" stays one phrase, which is then refused.
        """
        each = name.startswith("each ")
        if measured and not each:
            return [name]
        phrase = name.removeprefix("each ").removeprefix("of ")
        if (" and " not in phrase and ", " not in phrase) or self.words.meaning(phrase):
            return [phrase]
        parts = [self._bare(part) for part in _AND.split(phrase) if part.strip()]
        return parts if len(parts) > 1 and all(self.words.meaning(part) for part in parts) else [name]

    def _bare(self, phrase: str) -> str:
        """The phrase without describing words in front, until it is a name."""
        words = phrase.strip().split()
        count = self.split_front(words)
        words = words[count:]
        while (
            len(words) > 1 and not self.words.meaning(" ".join(words)) and self.words.classes.get(words[0]) == "neutral"
        ):
            words.pop(0)
        return " ".join(words)
