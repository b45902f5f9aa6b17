"""The figures behind one estimate as a small forest plot, in words and as a picture.

One row a figure: a bar over the range that its source gives, a mark at its value, the source key and what was decided
about it; used figures first, then those that were set aside, with the reason. The estimate stands on the last row.
In words a used figure is `--o--`, one that was set aside `..x..`, the estimate `==#==`; in the picture a filled
square on a line, an open one on a broken line, a hatched diamond. What lies beyond the scale ends in `>` or an arrow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from xml.sax.saxutils import escape

from lowsimmer.domain.foods import Estimate, Food, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.matching.search import Found
from lowsimmer.publishing.foods import bound_words, content_words, notes_lines, signed_range
from lowsimmer.publishing.picture import Scale, document, heading, whisker
from lowsimmer.reference.evidence import Cell, cell
from lowsimmer.reference.pooling import Z90

MOST_FOODS = 5
PLOT = 40  # columns of the plot in words
WILD = 3.0  # times what is used and pooled: how far the scale follows a figure that was set aside
LEFT, SPAN, TOP, ROW = 210, 320, 66, 36
NAME, CUT = 28, 62  # characters of a name and of a reason that fit beside the plot
_STEPS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
_MARKS = {"used": ("-", "o"), "set aside": (".", "x"), "estimate": ("=", "#")}  # of a range, of a value


def drawable(food: Food) -> Iterator[Cell]:
    """The cells of one food that have a figure to draw."""
    return (each for group in Group if (each := cell(food.key, group)).figures)


def pictures(found: Found) -> dict[str, str]:
    """File name (food-form-group.svg) -> picture, for the first foods of a search."""
    return {
        f"{each.key.food}-{each.key.form}-{each.group.value}.svg": forest_picture(each)
        for food in found.foods[:MOST_FOODS]
        for each in drawable(food)
    }


def figures_text(found: Found) -> str:
    """The forest plots of the first foods of a search; groups without a figure in one line each."""
    blocks = [_food_block(food) for food in found.foods[:MOST_FOODS]]
    left = len(found.foods) - MOST_FOODS
    more = f"\n{left} more found and not shown; add a word to narrow the search.\n" if left > 0 else ""
    return "\n".join(blocks) + more


def _food_block(food: Food) -> str:
    cells = [cell(food.key, group) for group in Group]
    head = f"{food.label}   [{food.key.food}, {food.key.form}]"
    plots = [forest_text(each) for each in cells if each.figures or each.aside]
    plain = [f"  {each.group.label:<18}{_plain(each)}" for each in cells if not (each.figures or each.aside)]
    return "\n".join([f"{head}\n", *plots, *plain, *notes_lines(food)]).rstrip() + "\n"


def _plain(of: Cell) -> str:
    return content_words(of.estimate) if of.estimate else bound_words(of)


def _estimate_words(of: Cell) -> tuple[str, str]:
    """The numbers of the estimate and how they were made; without one, what bounds the unknown."""
    if of.estimate is None:
        numbers, _, reason = bound_words(of).partition("; ")
        return numbers, reason
    mark = f" [{of.estimate.grade.mark}]" if of.estimate.grade.mark else ""
    return signed_range(of.estimate), of.estimate.reason + mark


def forest_text(of: Cell) -> str:
    """One cell as a forest plot of fixed width: one row a figure, the estimate last."""
    axis = axis_of(of)
    names = [_name(of, each) for each in (*of.figures, *of.aside)]
    wide = max(map(len, ["estimate", *names]))
    low, high = f"{axis.low:g}", f"{axis.high:g}"
    ends = [f"  {'':<{wide}}  {low}{high:>{PLOT + 2 - len(low)}}"] if of.figures or of.estimate else []
    rows = [(_name(of, each), bar(axis, *_place(each), _standing(each)), _said(each)) for each in of.figures]
    rows += [(_name(of, each), " " * PLOT, f"{each.analyte} {_said(each)}") for each in of.aside]
    last = bar(axis, *_ends(of.estimate), "estimate") if of.estimate else " " * PLOT
    return "\n".join(
        [
            f"  {of.group.label}, g per 100 g",
            *ends,
            *(f"  {name:<{wide}}  |{row}|  {said}" for name, row, said in rows),
            f"  {'estimate':<{wide}}  |{last}|  {'; '.join(_estimate_words(of))}",
            "",
        ]
    )


def bar(axis: Scale, low: float, value: float, high: float, standing: str) -> str:
    """One row of the plot in words: the range in line marks, the value in its own, arrows where it goes on."""
    line, mark = _MARKS[standing]
    begin, middle, end = (min(int(axis.at(each)), PLOT - 1) for each in (low, value, high))
    places = [line if begin <= place <= end and begin < end else " " for place in range(PLOT)]
    places[middle] = mark
    if axis.beyond(high):
        places[-1] = ">"
    if axis.before(low):
        places[0] = "<"
    return "".join(places)


def axis_of(of: Cell, length: float = PLOT) -> Scale:
    """The scale of one cell: round ends around all that counts, zero included; wild set-aside figures do not rule."""
    used = [_place(each) for each in of.figures if each.used]
    if of.estimate:
        used.append(_ends(of.estimate))
    low, high = _hull(used)
    aside_low, aside_high = _hull([_place(each) for each in of.figures if not each.used])
    if used and (low, high) != (0.0, 0.0):
        aside_low, aside_high = max(aside_low, -WILD * max(-low, high)), min(aside_high, WILD * max(-low, high))
    top, bottom = _rounded_up(max(high, aside_high)), _rounded_up(-min(low, aside_low))
    return Scale(0.0 - bottom, top if top or bottom else 1.0, length)


def _hull(places: list[tuple[float, float, float]]) -> tuple[float, float]:
    return min([0.0, *(low for low, _, _ in places)]), max([0.0, *(high for _, _, high in places)])


def _rounded_up(number: float) -> float:
    """The next round number (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten); 0 for 0."""
    if number <= 0:
        return 0.0
    power = 10.0 ** math.floor(math.log10(number))
    return float(f"{next((step for step in _STEPS if step * power >= number), 10.0) * power:.6g}")


def _place(figure: Observation) -> tuple[float, float, float]:
    """Low, value and high of one figure: as printed, or nine cases in ten by its sd, or the bare value.

    What was looked for and not found stands at zero with its limit as range, as it is pooled.
    """
    if figure.qualifier in {"<", "nd", "tr"}:
        limit = figure.value if figure.high is None else max(figure.high, figure.value)
        return 0.0, 0.0 if figure.qualifier == "<" else figure.value, limit
    reach = Z90 * figure.sd if figure.sd is not None else 0.0
    low = figure.low if figure.low is not None else figure.value - reach
    high = figure.high if figure.high is not None else figure.value + reach
    low = low if figure.value < 0 or figure.analyte == "fructose-balance" else max(0.0, low)
    return min(low, figure.value), figure.value, max(high, figure.value)


def _ends(estimate: Estimate) -> tuple[float, float, float]:
    return estimate.low, estimate.value, estimate.high


def _standing(figure: Observation) -> str:
    return "used" if figure.used else "set aside"


def _name(of: Cell, figure: Observation) -> str:
    """The source key, with the form where the figure is one of another form."""
    return " ".join(filter(None, (_shortened(figure.pedigree.source, NAME), _other_form(of, figure))))


def _other_form(of: Cell, figure: Observation) -> str:
    return f"({figure.key.form})" if figure.key.form != of.key.form else ""


def _said(figure: Observation) -> str:
    """The figure in numbers, then the decision and its reason."""
    return f"{figure_words(figure)}; {decision_words(figure)}"


def figure_words(figure: Observation) -> str:
    """One published figure in numbers: value, range or sd, or below which limit nothing was found."""
    if figure.qualifier == "<":
        return f"below {figure.value:g}"
    if figure.qualifier in {"nd", "tr"}:
        limit = _place(figure)[2]
        word = "not found" if figure.qualifier == "nd" else "a trace"
        return f"{word}, limit {limit:g}" if limit else word
    if figure.low is not None and figure.high is not None:
        return f"{figure.value:g} ({figure.low:g} to {figure.high:g})"
    return f"{figure.value:g} (sd {figure.sd:.3g})" if figure.sd is not None else f"{figure.value:g}"


def decision_words(figure: Observation) -> str:
    """`used`, or `set aside: reason`; with the mark of a figure that was not read in its source."""
    reason = figure.decision.removeprefix("set-aside").lstrip(": ")
    words = "used" if figure.used else f"set aside: {reason or 'no reason given'}"
    return f"{words} [{figure.pedigree.evidence.mark}]" if figure.pedigree.evidence.mark else words


def forest_picture(of: Cell) -> str:
    """One cell as an SVG document."""
    axis = axis_of(of, SPAN)
    bottom = TOP + ROW * len(of.figures)
    rows = "".join(_drawn(of, each, axis, TOP + ROW * place) for place, each in enumerate(of.figures))
    body = heading(f"{of.label}: {of.group.label}", _LEGEND) + _grid(axis, bottom + ROW, of.estimate) + rows
    title = f"{of.label}: {of.group.label}, g per 100 g, by source"
    return document(title, _description(of), bottom + ROW + 30, body + _last(of, axis, bottom))


_LEGEND = (
    "g per 100 g; square: value, line: its range; open and broken: set aside; diamond: the estimate, nine cases in ten"
)


def _description(of: Cell) -> str:
    rows = [f"{_name(of, each)} {_said(each)}" for each in of.figures]
    rows += [f"{_name(of, each)} {each.analyte} {_said(each)}" for each in of.aside]
    return "; ".join([*rows, f"estimate {'; '.join(_estimate_words(of))}"])


def _grid(axis: Scale, bottom: float, estimate: Estimate | None) -> str:
    """The axis with its round ends and zero, and a fine line up from the estimate."""
    numbers = dict.fromkeys((axis.low, 0.0, axis.high))
    ticks = "".join(
        f'<line x1="{LEFT + axis.at(each):.1f}" y1="{TOP}" x2="{LEFT + axis.at(each):.1f}" y2="{bottom}" '
        f'stroke="#bbb5a6" stroke-width="0.7"/>\n'
        f'<text x="{LEFT + axis.at(each):.1f}" y="{bottom + 18}" font-size="12" fill="#555" '
        f'text-anchor="middle">{each:g}</text>\n'
        for each in numbers
    )
    if estimate is None:
        return ticks
    place = LEFT + axis.at(estimate.value)
    return ticks + (
        f'<line x1="{place:.1f}" y1="{TOP}" x2="{place:.1f}" y2="{bottom}" stroke="#7a7466" stroke-width="0.7" '
        f'stroke-dasharray="2 3"/>\n'
    )


def _drawn(of: Cell, figure: Observation, axis: Scale, top: float) -> str:
    """One figure: name, whisker, square, numbers and decision; the whole reason as its own title."""
    middle = top + ROW / 2
    low, value, high = _place(figure)
    style = 'stroke="#222"' if figure.used else 'stroke="#555" stroke-dasharray="4 3"'
    fill = "#222" if figure.used else "#fdfcf8"
    left = LEFT + axis.at(value) - 4
    return (
        f"<g><title>{escape(f'{_name(of, figure)} {_said(figure)}')}</title>\n"
        f'<text x="24" y="{top + 16}" font-size="13">{escape(_shortened(figure.pedigree.source, NAME))}</text>\n'
        f"{_form_below(of, figure, top)}"
        f"{whisker(LEFT + axis.at(low), LEFT + axis.at(high), middle, axis.beyond(high), style)}"
        f'<rect x="{left:.1f}" y="{middle - 4}" width="8" height="8" fill="{fill}" stroke="#222"/>\n'
        f"{_beside(figure_words(figure), decision_words(figure), top)}</g>\n"
    )


def _form_below(of: Cell, figure: Observation, top: float) -> str:
    form = _other_form(of, figure)
    return f'<text x="24" y="{top + 30}" font-size="11" fill="#555">{escape(form)}</text>\n' if form else ""


def _last(of: Cell, axis: Scale, top: float) -> str:
    """The estimate: a hatched diamond from its low to its high bound; words alone where there is none."""
    middle = top + ROW / 2
    name = f'<text x="24" y="{top + 16}" font-size="13" font-weight="bold">estimate</text>\n'
    words = _beside(*_estimate_words(of), top)
    if of.estimate is None:
        return name + words
    low, value, high = (LEFT + axis.at(each) for each in _ends(of.estimate))
    diamond = (
        f'<path d="M{low:.1f} {middle} L{value:.1f} {middle - 8} L{high:.1f} {middle} L{value:.1f} {middle + 8} Z" '
        f'fill="url(#hatch)" stroke="#222"/>\n'
    )
    return name + diamond + words


def _beside(numbers: str, words: str, top: float) -> str:
    """Two lines of words to the right of the plot."""
    left = LEFT + SPAN + 18
    return (
        f'<text x="{left}" y="{top + 16}" font-size="13">{escape(_shortened(numbers, CUT))}</text>\n'
        f'<text x="{left}" y="{top + 30}" font-size="11" fill="#555">{escape(_shortened(words, CUT))}</text>\n'
    )


def _shortened(words: str, most: int) -> str:
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"
