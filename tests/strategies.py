"""Hypothesis strategies shared by the property tests: lines, dishes and ranges as a cook could have written them.

The foods are of every kind: rich in one group, free of all, with glucose to spare, without a figure for some group,
not in the catalogue at all. Lines go through the real reader, so that a law is tested on what the reader makes.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from lowsimmer.domain.lines import Amount, Dish, Line
from lowsimmer.domain.ranges import Range
from lowsimmer.reading.line import reader

STRANGE = "moonfruit jelly"  # not in any catalogue: its content is unknown, never zero

FOODS = (
    "garlic",  # fructan
    "brown onion",
    "spring onion tops",  # the green of an allium
    "garlic powder",
    "plain flour",  # every group has a figure
    "spaghetti",
    "white bread",
    "rice",
    "dried red lentils",  # GOS
    "canned chickpeas, drained",
    "cashews",
    "cow's milk",  # lactose
    "cheddar",
    "apple",  # excess fructose and sorbitol
    "mango",
    "honey",
    "glucose syrup",  # glucose to spare
    "dried apricots",  # glucose to spare and sorbitol
    "mushrooms",  # mannitol
    "cauliflower",
    "firm tofu",  # no figure for some groups
    "tamarind paste",
    "avocado",
    "carrot",  # nearly nothing
    "olive oil",  # nothing, and that is a fact
    "chicken breast",
    STRANGE,
)

MEASURED = ("2 cloves garlic", "1 cup plain flour", "3 tbsp honey", "1-2 brown onions", "a pinch of garlic powder",
            "1/2 cup cow's milk", "2 slices white bread", "1 to 3 apples", "a drizzle of olive oil",
            "about 60 g mushrooms", "2 heaped tbsp rice")  # fmt: skip


def read(text: str) -> Line:
    """One ingredient line read by the real reader."""
    return reader().read(text)


@st.composite
def weighed_lines(draw: st.DrawFn, foods: tuple[str, ...] = FOODS) -> Line:
    """Grams of one food, exact or as a range."""
    grams = draw(st.integers(1, 400))
    more = draw(st.one_of(st.just(0), st.integers(1, 100)))
    amount = f"{grams}-{grams + more}" if more else f"{grams}"
    return read(f"{amount} g {draw(st.sampled_from(foods))}")


def lines() -> st.SearchStrategy[Line]:
    """A weighed line, or one measured by spoon, cup, piece or pinch."""
    return st.one_of(weighed_lines(), st.sampled_from(MEASURED).map(read))


@st.composite
def dishes(draw: st.DrawFn, least: int = 1, most: int = 6) -> Dish:
    """A dish of a few lines for one to eight people."""
    chosen = draw(st.lists(lines(), min_size=least, max_size=most))
    return Dish("Trial dish", float(draw(st.integers(1, 8))), tuple(chosen))


@st.composite
def ranges(draw: st.DrawFn, largest: float = 1e6) -> Range:
    """A range that may be exact, may begin at zero, and is never absurdly near to zero."""
    sizes = st.one_of(st.just(0.0), st.floats(1e-6, largest))
    low, value, high = sorted(draw(st.tuples(sizes, sizes, sizes)))
    return draw(st.sampled_from((Range(value, low, high), Range(value, value, value))))


def scaled_amount(amount: Amount | None, factor: float) -> Amount | None:
    """So many times the amount: its number and what is added to it; a pack keeps its size."""
    if amount is None:
        return None
    return replace(amount, number=amount.number.scaled(factor), plus=scaled_amount(amount.plus, factor))


def scaled_line(line: Line, factor: float, text: str = "") -> Line:
    """The line with so many times its amount, under another text if one is given."""
    return replace(
        line,
        text=text or line.text,
        amount=scaled_amount(line.amount, factor),
        also=scaled_amount(line.also, factor),
        together=tuple(scaled_line(each, factor, text) for each in line.together),
    )


def scaled_dish(dish: Dish, factor: float) -> Dish:
    """Every line and the number of servings so many times."""
    return replace(dish, serves=dish.serves * factor, lines=tuple(scaled_line(each, factor) for each in dish.lines))
