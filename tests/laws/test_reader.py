"""The reader never fails on text, is steady on its own output, and reads every unit and every form of a number."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from lowsimmer.domain.findings import Kind
from lowsimmer.domain.lines import Line
from lowsimmer.measuring.weigh import items_of
from lowsimmer.reading.line import reader
from lowsimmer.reading.numbers import number_or_range
from lowsimmer.reading.tidy import tidy
from lowsimmer.reference.phrases import plain
from lowsimmer.reference.words import vocabulary
from tests.strategies import read

MANY = settings(deadline=None, max_examples=300)

SCRAPS = ("1", "1/2", "½", "2-3", "to", "x", "a", "half", "dozen", "cup", "g", "oz", "can", "(", ")", "[", "]", ",",
          "-", "–", "or", "and", "plus", "more", "of", "juice", "zest", "garlic", "salt", "pepper", "chopped",
          "finely", "optional", "to taste", "for frying", "&amp;", "/", "+", "~", "about", "small",
          ":", "  ", "0", "1/0")  # fmt: skip
kitchen_noise = st.lists(st.sampled_from(SCRAPS), max_size=14).map(" ".join)


@MANY
@given(st.one_of(st.text(max_size=80), kitchen_noise))
@example("9" * 400 + " g flour")
@example("9" * 400 + "/1 cups flour")
@example("1-" + "9" * 400 + " g flour")
@example("1/" + "9" * 400 + " g flour")
@example("x" * 100_000)
def test_any_text_is_read_weighed_and_shown_step_by_step(text: str) -> None:
    line = reader().read(text)
    assert line.name or line.findings, "a line without a name says why"
    assert items_of(line)
    assert list(reader().steps(text[:600]))


@MANY
@given(st.one_of(st.text(max_size=80), kitchen_noise))
@example("** - flour")
@example("&amp;amp; flour")
@example("1. 2. flour")
def test_tidy_is_steady_on_its_own_output(text: str) -> None:
    once = tidy(text)
    assert tidy(once) == once


@MANY
@given(st.text(max_size=60))
def test_plain_is_steady_on_its_own_output(text: str) -> None:
    assert plain(plain(text)) == plain(text)


@MANY
@given(kitchen_noise)
def test_reading_twice_gives_the_same_line(text: str) -> None:
    assert reader().read(text) == reader().read(text)


@MANY
@given(kitchen_noise)
def test_an_amount_that_is_read_is_more_than_nothing(text: str) -> None:
    amount = reader().read(text).amount
    assert amount is None or amount.number.value > 0


PHRASES = {"to taste", "for frying", "for greasing", "for garnish", "some", "little"}  # nobody writes "2 to taste"


def unit_words() -> list[tuple[str, str]]:
    """Every word of units.csv that can stand behind a number, with its unit."""
    return sorted((word, unit) for word, unit in vocabulary().units.items() if unit not in PHRASES)


@pytest.mark.parametrize(("word", "unit"), unit_words())
def test_every_unit_word_is_read_behind_a_number(word: str, unit: str) -> None:
    line = read(f"2 {word} parsley")
    assert (line.amount and line.amount.number.value, line.amount and line.amount.unit) == (2, unit)
    assert line.name == "parsley"


@pytest.mark.parametrize(("word", "unit"), unit_words())
def test_every_unit_word_is_read_with_of(word: str, unit: str) -> None:
    line = read(f"2 {word} of parsley")
    assert (line.amount and line.amount.unit, line.name) == (unit, "parsley")


@pytest.mark.parametrize("phrase", sorted(PHRASES - {"some", "little"}))
def test_an_amount_nobody_measures_is_informal(phrase: str) -> None:
    line = read(f"olive oil {phrase}")
    assert line.informal
    assert line.name == "olive oil"


GLYPHS = {
    Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾", Fraction(1, 3): "⅓", Fraction(2, 3): "⅔",
    Fraction(1, 8): "⅛", Fraction(3, 8): "⅜", Fraction(5, 8): "⅝", Fraction(7, 8): "⅞", Fraction(1, 5): "⅕",
    Fraction(1, 6): "⅙",
}  # fmt: skip


def styles(whole: int, part: Fraction) -> list[str]:
    """A mixed number as cooks write it."""
    over, under = part.numerator, part.denominator
    front = f"{whole} " if whole else ""
    written = [
        f"{front}{over}/{under}",
        f"{front}{GLYPHS[part]}",
        f"{whole or ''}{GLYPHS[part]}",
        f"{front}{over}⁄{under}",
    ]
    written += [f"{whole}-{over}/{under}", f"{whole} and {over}/{under}"] if whole else []
    return written


@settings(deadline=None, max_examples=100)
@given(st.integers(0, 40), st.sampled_from(sorted(GLYPHS)))
def test_mixed_numbers_come_back_in_every_style(whole: int, part: Fraction) -> None:
    for text in styles(whole, part):
        amount = read(f"{text} cups rice").amount
        assert amount is not None, text
        assert amount.number.value == pytest.approx(float(whole + part)), text
        assert amount.unit == "cup", text


@settings(deadline=None, max_examples=100)
@given(st.integers(1, 99_999))
def test_decimals_come_back_with_point_and_with_comma(hundredths: int) -> None:
    number = hundredths / 100
    for text in (f"{number:.2f}", f"{number:.2f}".replace(".", ",")):
        amount = read(f"{text} g rice").amount
        assert amount is not None, text
        assert amount.number.value == pytest.approx(number), text


@settings(deadline=None, max_examples=100)
@given(st.integers(1, 50), st.integers(1, 50), st.sampled_from(("-", "–", " - ", " to ", " or ")))
def test_two_numbers_are_a_range(low: int, more: int, link: str) -> None:
    amount = read(f"{low}{link}{low + more} tbsp rice").amount
    assert amount is not None
    assert (amount.number.low, amount.number.high) == (low, low + more)


@settings(deadline=None, max_examples=50)
@given(st.sampled_from(sorted(vocabulary().numbers)))
def test_every_number_word_gives_its_number(word: str) -> None:
    found = number_or_range(f"{word} cups rice", 0, vocabulary().numbers)
    assert found is not None
    assert found[0] == vocabulary().numbers[word]


@pytest.mark.parametrize("text", ["0 g garlic", "-3 onions", "- 0 g garlic", "100000000 g rice", "5000 onions"])
def test_an_absurd_amount_is_asked_about_and_not_used(text: str) -> None:
    line: Line = read(text)
    assert line.amount is None
    assert Kind.ABSURD_AMOUNT in {finding.kind for finding in line.findings}
