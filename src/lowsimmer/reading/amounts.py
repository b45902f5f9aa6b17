"""The front of a line: how much of it.

Read at a place in a lower-case line by a cursor of (text, position). The order of tries is the grammar::

    [about] [size] NUMBER [x NUMBER UNIT] [(PACK)] [size] [heaped] [NUMBER UNIT]
        UNIT [CONTAINER] [/ ALSO] [plus MORE] [of]

A container keeps what stands on it as its `pack`: `1 x 400 g can`, `two 15-ounce cans`, `1 (14 oz) can`, `400 g tin`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from lowsimmer.domain.lines import Amount
from lowsimmer.domain.ranges import Range, exactly
from lowsimmer.reading.numbers import number_or_range
from lowsimmer.reference.words import VAGUE, Vocabulary

SIZES = {
    "small": "small", "little": "small", "mini": "small", "baby": "", "medium": "medium", "med": "medium",
    "medium-sized": "medium", "medium-size": "medium", "average": "medium", "regular": "medium",
    "large": "large", "lg": "large", "big": "large", "jumbo": "large", "extra-large": "large", "generous": "large",
}  # fmt: skip
_APPROXIMATELY = re.compile(r"(?:about|around|approximately|approx\.?|roughly|circa|ca\.?|nearly|almost|~) ?")
_WORD = re.compile(r" *-?([a-z#][a-z-]*)\.?")
_TIMES = re.compile(r" ?x ?(?=\d)")
_BRACKET = re.compile(r" *\(([^()]*)\)")
_DUAL = re.compile(r" ?(?:/|\||or|=) ?(?=[\d.])")
_PLUS = re.compile(r",? ?(?:plus|\+|and) ?(?=[\da])")
_EACH_LONG = re.compile(r" ?x (?:\d+(?:\.\d+)? ?(?:cm|mm|inch(?:es)?)[ -])?(?=[a-z])")
_LENGTH = re.compile(
    r" ?-?(cm|inch(?:es)?|in\.?|\")(?: |-)(?:long )?(?:piece|knob|stick|chunk|length|thumb|nub|cube)s?(?: of)?\b"
)
_PHRASE_END = re.compile(r"[,(;]")
_LONG_PIECE = re.compile(
    r" ?\((?:about )?(\d+(?:\.\d+)?)[ -]?(cm|inch(?:es)?|in\.?)\) "
    r"(?:piece|knob|stick|chunk|length|thumb|nub)s?(?: of)?\b"
)
_OF = re.compile(r" *(?:of (?:the |an? )?)")


@dataclass(frozen=True, slots=True)
class Front:
    """What the front of a line gave: the amount, a second statement of it, and where the rest begins."""

    amount: Amount | None
    also: Amount | None
    end: int


class AmountReader:
    """Reads amounts with one vocabulary."""

    def __init__(self, words: Vocabulary) -> None:
        self.words = words

    def front(self, text: str) -> Front:
        """The amount at the front of a line; amount None where the line begins with no amount."""
        rough = _APPROXIMATELY.match(text)
        start = rough.end() if rough else 0
        amount, end = self._first(text, start)
        if amount is None:
            return Front(None, None, 0)
        if rough:
            amount = _times_heap(amount, self.words.heaps["about"])
        also, end = self._also(text, end)
        more, end = self._more(text, end, amount)
        if more:
            amount = replace(amount, plus=more)
        if also and not amount.pack and self.words.kinds.get(amount.unit) == "container":
            amount, also = replace(amount, pack=also), None
        elif also and (container := self._container(text, end))[0]:
            amount, also, end = Amount(exactly(1.0), container[0], pack=amount), None, container[1]
        of = _OF.match(text, end)
        return Front(amount, also, of.end() if of and amount.unit else end)

    def whole(self, text: str) -> Amount | None:
        """The amount that makes up the whole of a short text such as a note in brackets, else None."""
        front = self.front(text.strip())
        measured = front.amount and self.words.kinds.get(front.amount.unit) in {"mass", "volume"}
        return front.amount if measured and front.end >= len(text.strip()) else None

    def _first(self, text: str, at: int) -> tuple[Amount | None, int]:
        size, place = self._size(text, at)
        number = number_or_range(text, place, self.words.numbers)
        if number is None:
            return self._unit_alone(text, place, size)
        return self._counted(text, number[1], number[0], size)

    def _unit_alone(self, text: str, at: int, size: str) -> tuple[Amount | None, int]:
        """`pinch of salt`, `large handful spinach`: a unit without a number counts one."""
        heap, place = self._heap(text, at)
        unit, end = self._unit(text, place)
        if not unit or self._is_name(text, at):
            return None, at
        informal = self.words.kinds[unit] in VAGUE or unit in {"handful", "knob", "bunch"}
        if not informal and not _OF.match(text, end):
            return None, at
        return Amount(exactly(1.0), unit, size, heap=heap), end

    def _counted(self, text: str, at: int, number: Range, size: str) -> tuple[Amount, int]:
        """What stands behind the first number; the next sign decides which forms are worth a try."""
        sign = text[at + 1 : at + 2] if text[at : at + 1] == " " else text[at : at + 1]
        found = self._by_sign(text, at, number, sign) if sign and sign in 'x(ci-"' else None
        if found:
            return found
        size2, heap, place = self._described(text, at)
        packed = self._pack(text, place)
        if packed and self._container(text, packed[1])[0]:
            return self._contained(text, packed[1], number, packed[0])
        return self._with_unit(text, place, Amount(number, "", size or size2, heap=heap))

    def _by_sign(self, text: str, at: int, number: Range, sign: str) -> tuple[Amount, int] | None:
        """`2 x 400 g can`, `1 (14 oz) can`, `3 cm piece`."""
        if sign == "x":
            times = _TIMES.match(text, at)
            packed = self._pack(text, times.end()) if times else None
            if packed:
                return self._contained(text, packed[1], number, packed[0])
            skip = _EACH_LONG.match(text, at)
            return self._with_unit(text, skip.end(), Amount(number)) if skip else None
        if sign == "(":
            bracket = _BRACKET.match(text, at)
            if long := _LONG_PIECE.match(text, at):
                unit = "centimetre" if long.group(2) == "cm" else "inch"
                return Amount(number.scaled(float(long.group(1))), unit), long.end()
            pack = self.whole(bracket.group(1)) if bracket else None
            return self._contained(text, bracket.end(), number, pack) if bracket and pack else None
        length = _LENGTH.match(text, at)
        return (Amount(number, "centimetre" if length.group(1) == "cm" else "inch"), length.end()) if length else None

    def _described(self, text: str, at: int) -> tuple[str, Range | None, int]:
        """The size and the heap words in front of a unit or a name, in either order."""
        word, _ = self._word(text, at)
        if word not in SIZES and word not in self.words.heaps:
            return "", None, at
        size, place = self._size(text, at)
        heap, place = self._heap(text, place)
        return size, heap, place

    def _with_unit(self, text: str, at: int, amount: Amount) -> tuple[Amount, int]:
        """The unit behind a number, unless the words from here on are a name ("1 little gem lettuce")."""
        unit, end = self._unit(text, at)
        if not unit or (
            self.words.kinds[unit] not in {"mass", "volume", "container"} and self._name_with_unit(text, at, end)
        ):
            return amount, at
        measured = Amount(amount.number, unit, amount.size, heap=amount.heap)
        if self.words.kinds[unit] in {"mass", "volume"}:
            container, behind = self._container(text, end)
            if container:
                pack = replace(measured, size="", heap=None)
                return Amount(exactly(1.0), container, amount.size, pack=pack), behind
        return measured, end

    def _contained(self, text: str, at: int, number: Range, pack: Amount) -> tuple[Amount, int]:
        """`N x PACK [container]`: without a container word the packs simply multiply."""
        size, place = self._size(text, at)
        container, end = self._container(text, place)
        if container:
            return Amount(number, container, size, pack=pack), end
        unit, end = self._unit(text, place)
        if unit and self.words.kinds[unit] == "count":
            return Amount(number, unit, size, pack=pack), end
        return Amount(number, "", size, pack=pack), place

    def _pack(self, text: str, at: int) -> tuple[Amount, int] | None:
        """A number with a mass or volume: `400 g`, `15-ounce`, `14.5 oz.`."""
        start = at + (text[at : at + 1] == " ")
        number = number_or_range(text, start, self.words.numbers) if text[start : start + 1].isdigit() else None
        if number is None:
            return None
        unit, end = self._unit(text, number[1])
        if unit and self.words.kinds[unit] in {"mass", "volume"}:
            return Amount(number[0], unit), end
        return None

    def _also(self, text: str, at: int) -> tuple[Amount | None, int]:
        """A second statement of the same amount: `/ 9 oz`, `(250 g)`, `or 9 oz`."""
        dual = _DUAL.match(text, at)
        if dual and (second := self._pack(text, dual.end())):
            return self._with_ounces(text, *second)
        bracket = _BRACKET.match(text, at)
        if bracket and (inside := self.whole(bracket.group(1))):
            return inside, bracket.end()
        return None, at

    def _with_ounces(self, text: str, amount: Amount, at: int) -> tuple[Amount, int]:
        """`1 lb 2 oz`: a second mass directly behind the first is added to it."""
        if amount.unit != "pound":
            return amount, at
        ounces = self._pack(text, at)
        return (replace(amount, plus=ounces[0]), ounces[1]) if ounces and ounces[0].unit == "ounce" else (amount, at)

    def _more(self, text: str, at: int, amount: Amount) -> tuple[Amount | None, int]:
        """`1 cup plus 2 tablespoons`: a second amount to be added, only between measures."""
        if amount.unit == "pound" and (both := self._with_ounces(text, amount, at))[0].plus:
            return both[0].plus, both[1]
        plus = _PLUS.match(text, at) if self.words.kinds.get(amount.unit) in {"mass", "volume"} else None
        if plus is None:
            return None, at
        number = number_or_range(text, plus.end(), self.words.numbers)
        if number is None:
            return None, at
        unit, end = self._unit(text, number[1])
        known = unit and self.words.kinds[unit] in {"mass", "volume", "informal"}
        return (Amount(number[0], unit), end) if known else (None, at)

    def _word(self, text: str, at: int) -> tuple[str, int]:
        match = _WORD.match(text, at)
        return (match.group(1), match.end()) if match else ("", at)

    def _size(self, text: str, at: int) -> tuple[str, int]:
        word, end = self._word(text, at)
        if not SIZES.get(word) or self._pair(text, end, word) or self._is_name(text, at):
            return "", at
        return SIZES[word], end + (text[end : end + 1] == " ")

    def _heap(self, text: str, at: int) -> tuple[Range | None, int]:
        word, end = self._word(text, at)
        if word not in self.words.heaps or self._pair(text, end, word) or not self._unit(text, end)[0]:
            return None, at
        return self.words.heaps[word], end

    def _pair(self, text: str, at: int, first: str) -> str:
        """The unit that two words name together ("fl oz", "generous pinch"), else ''."""
        return self.words.units.get(f"{first} {self._word(text, at)[0]}", "")

    def _unit(self, text: str, at: int) -> tuple[str, int]:
        """The unit at this place, two words ("fl oz", "generous pinch") before one."""
        word, end = self._word(text, at)
        if not word:
            return "", at
        second, end2 = self._word(text, end)
        pair = self.words.units.get(f"{word} {second}") if second else None
        if pair:
            return pair, end2
        unit = self.words.units.get(word.rstrip("-"))
        return (unit, end) if unit else ("", at)

    def _container(self, text: str, at: int) -> tuple[str, int]:
        unit, end = self._unit(text, at)
        return (unit, end) if unit and self.words.kinds[unit] == "container" else ("", at)

    def _name_with_unit(self, text: str, at: int, end: int) -> bool:
        """True when the unit word belongs to the name: little gem lettuce; but a head of broccoli is broccoli."""
        whole = self._meaning(text, at)
        if not whole or not text[end:].strip(" ,"):
            return False
        of = _OF.match(text, end)
        informal = self.words.kinds[self._unit(text, at)[0]] in VAGUE
        return informal or not whole & self._meaning(text, of.end() if of else end)

    def _is_name(self, text: str, at: int) -> bool:
        """True when the words from here to the end of the phrase are a food's name as they stand."""
        return bool(self._meaning(text, at))

    def _meaning(self, text: str, at: int) -> frozenset[str]:
        """What the phrase from here to the next comma or bracket means as a name."""
        return self.words.meaning(_PHRASE_END.split(text[at:], maxsplit=1)[0].strip())


def _times_heap(amount: Amount, factor: Range) -> Amount:
    return replace(amount, number=amount.number * factor)
