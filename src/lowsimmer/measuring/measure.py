"""Grams of one matched line.

What is tried, in this order: a mass that the line states (as its amount, in brackets, or on the pack); a volume times
a density; a count times a piece weight; a container of ordinary size; an informal amount. A measure for which
nothing is known gives no grams and a finding; it is never guessed from another food.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from lowsimmer.domain.findings import Finding, Kind, ask, note
from lowsimmer.domain.foods import Food
from lowsimmer.domain.lines import Amount, Line
from lowsimmer.domain.masses import Factor, Grams
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.domain.ranges import Range, exactly
from lowsimmer.reference import weights
from lowsimmer.reference.weights import Figure
from lowsimmer.reference.words import VAGUE, vocabulary

_TRADE = Pedigree("practice", Evidence.PRACTICE)
_AS_WRITTEN = Pedigree("the line", Evidence.SEEN)
_SIZES = {"small": Range(0.7, 0.55, 0.85), "medium": exactly(1.0), "large": Range(1.35, 1.15, 1.7)}
_HANDFUL = Figure(Range(30, 15, 50), _TRADE)
_LOOSE = Figure(Range(0.6, 0.3, 1.0), _TRADE)  # g/ml of anything, used for informal amounts only

Term = tuple[Factor, ...]


@dataclass(frozen=True, slots=True)
class Measured:
    """The grams of a line (None when they cannot be computed) and what was assumed on the way."""

    grams: Grams | None
    findings: tuple[Finding, ...] = ()


class _Scale:
    """Weighs one line; collects findings on the way."""

    def __init__(self, line: Line, food: Food, region: str) -> None:
        self.line, self.food, self.key, self.region = line, food, food.key, region
        self.findings: list[Finding] = []

    def grams(self) -> Grams | None:
        """The sum of the amount and what is added to it."""
        first = self._best()
        if first is None:
            return None
        more = self.line.amount.plus if self.line.amount else None
        added = self._term(more) if more else None
        return Grams((first, added) if added else (first,))

    def _best(self) -> Term | None:
        """A stated mass before a volume, a volume before a count."""
        stated = [each for each in (self.line.amount, self.line.also) if each]
        kinds = vocabulary().kinds
        stated.sort(key=lambda each: kinds.get(each.unit) != "mass")
        return next((term for each in stated if (term := self._term(each))), None)

    def _term(self, amount: Amount) -> Term | None:
        kind = vocabulary().kinds.get(amount.unit, "count")
        if amount.pack:
            return self._packed(amount, amount.pack)
        if kind == "mass":
            return (*self._number(amount), self._measure(amount.unit), *self._edible())
        if kind == "use" and self.food.kind not in weights.uses()[amount.unit]:
            return None
        if kind == "volume" or kind in VAGUE:
            return self._volume(amount, kind in VAGUE)
        return self._pieces(amount)

    def _number(self, amount: Amount) -> Term:
        number = amount.number if amount.heap is None else amount.number * amount.heap
        words = f"{number.value:g}" if number.exact else f"{number.low:g} to {number.high:g}"
        return (Factor(f"amount:{self.key.food}", words, number, _AS_WRITTEN),)

    def _measure(self, unit: str) -> Factor:
        table = weights.measures()
        figure = table.get((unit, self.region)) or table[unit, ""]
        place = self.region if (unit, self.region) in table else ""
        return _factor(f"measure:{unit}:{place}", figure, f"{figure.range.value:.4g} {figure.quantity}")

    def _packed(self, amount: Amount, pack: Amount) -> Term | None:
        inside = self._term(pack)
        if inside is None:
            return None
        drained = self.key.form in {"canned-drained", "canned-rinsed"}
        drained = drained or (self.key.form.startswith("canned") and "drained" in self.line.preparation)
        share = self._drained() if drained else ()
        return (*self._number(amount), *inside, *share)

    def _drained(self) -> Term:
        table = weights.drained()
        figure = table.get(self.key.food) or table.get(f"kind:{self.food.kind}")
        if figure is None:
            return ()
        return (_factor(f"drained:{self.key.food}", figure, f"{figure.range.value:g} drained"),)

    def _edible(self) -> Term:
        """A weight that was taken before peeling shrinks to the edible part; it may also have been taken after.

        Only words behind the comma count: "shelled pistachios" were weighed shelled, "pistachios, shelled" were not.
        """
        fraction = weights.edible_fractions().get(self.key)
        words = weights.edible_words().search(self.line.text.lower().partition(",")[2])
        if fraction is None or fraction >= 1 or words is None:
            return ()
        self.findings.append(
            note(
                Kind.EDIBLE_PART,
                f"'{words.group()}': {fraction:.0%} of the weight is edible.",
                self.line.text,
            )
        )
        part = Figure(Range(fraction, fraction * 0.95, 1.0), Pedigree("usda-sr28", Evidence.SEEN, "refuse"))
        return (_factor(f"edible:{self.key.food}", part, f"{fraction:g} edible"),)

    def _volume(self, amount: Amount, informal: bool) -> Term | None:
        measure = self._measure(amount.unit)
        if informal:
            self._tell_informal(amount.unit, measure)
        if not self.region and not measure.range.exact and not informal and self._differs(amount.unit):
            self._tell_region(amount.unit)
        density = self._density() or (_LOOSE if informal else None)
        if density is None:
            return None
        words = f"{density.range.value:.2g} g/ml"
        return (*self._number(amount), measure, _factor(f"density:{self.key}", density, words))

    @staticmethod
    def _differs(unit: str) -> bool:
        return any(each == unit and region for each, region in weights.measures())

    def _density(self) -> Figure | None:
        table = weights.densities()
        for word in self.line.preparation.replace(",", " ").split():
            state = weights.states().get(word)
            if state and (self.key, state) in table:
                return table[self.key, state]
        return table.get((self.key, "")) or weights.any_density().get(self.key)

    def _pieces(self, amount: Amount) -> Term | None:
        piece = amount.unit or "whole"
        found = self._piece(piece, amount.size)
        if found is None and piece == "handful":
            found = (_HANDFUL, 1.0)
        if found is None:
            return None
        figure, times = found
        if not amount.size and not figure.range.exact:
            self._tell_size(piece)
        identity = f"piece:{self.key}:{piece}:{amount.size}"
        factor = Factor(identity, f"{figure.range.value * times:.3g} g", figure.range.scaled(times), figure.pedigree)
        return (*self._number(amount), factor)

    def _piece(self, piece: str, size: str) -> tuple[Figure, float] | None:
        for name, times in ((piece, 1.0), *weights.piece_words().get(piece, ())):
            figure = self._sized(name, size)
            if figure:
                return figure, times
        return None

    def _sized(self, piece: str, size: str) -> Figure | None:
        """The weight for this size; a size without a figure scales the middle one (common practice)."""
        table = weights.pieces()
        wanted = size or ({"us": "us"}.get(self.region, "metric") if piece == "can" else "")
        if (self.key, piece, wanted) in table:
            return table[self.key, piece, wanted]
        middle = table.get((self.key, piece, "")) or table.get((self.key, piece, "medium"))
        if middle is None or size not in _SIZES:
            return middle
        return Figure(middle.range * _SIZES[size], _TRADE)

    def _tell_informal(self, unit: str, measure: Factor) -> None:
        low, high = measure.range.low, measure.range.high
        taken = f"{measure.range.value:g} ml, anything from {low:g} to {high:g} ml"
        sentence = f"{self.food.label}: '{unit}' is taken as {taken}."
        self.findings.append(note(Kind.INFORMAL_AMOUNT, sentence, self.line.text, "Weigh it once to narrow the range."))

    def _tell_region(self, unit: str) -> None:
        sentence = f"A {unit} differs by country and the dish states no region; the range covers them."
        self.findings.append(note(Kind.REGION_MATTERS, sentence, self.line.text, "State a region: us, uk, au or nz."))

    def _tell_size(self, piece: str) -> None:
        what = self.food.label if piece == "whole" else f"{piece} of {self.food.label}"
        self.findings.append(
            note(
                Kind.SIZE_ASSUMED,
                f"No size is stated for {what}; the range covers the usual ones.",
                self.line.text,
            )
        )


def _factor(identity: str, figure: Figure, words: str) -> Factor:
    return Factor(identity, words, figure.range, figure.pedigree)


def measure(line: Line, food: Food, region: str = "") -> Measured:
    """Edible grams of one line, or None with the finding that says what is missing."""
    if line.amount is None and line.also is None:
        use = weights.amountless().get(food.kind)
        if use is None or any(each.kind is Kind.ABSURD_AMOUNT for each in line.findings):
            return Measured(None)
        line = replace(line, amount=Amount(exactly(1.0), use))
    scale = _Scale(line, food, region)
    grams = scale.grams()
    if grams is None:
        return Measured(None, (*scale.findings, _no_grams(line, food)))
    return Measured(grams, tuple(scale.findings))


def _no_grams(line: Line, food: Food) -> Finding:
    unit = (line.amount.unit if line.amount else "") or "piece"
    use = vocabulary().kinds.get(unit) == "use"
    return ask(
        Kind.NO_GRAMS,
        f"How much {food.label} is eaten with it?" if use else f"No weight is known for one {unit} of {food.label}.",
        line.text,
        "Give the amount in grams, or weigh one and add it in brackets.",
    )
