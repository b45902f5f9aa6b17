"""Load bars as SVG: one bar a group, a tick at the limit, a whisker for the range, the share in words.

Readable without colour: state is words, length and position; the bar is a hatched grey, the whisker a line with ends.
The picture carries a title and a description for screen readers. All bars share one scale, shares of their limit,
so that they can be compared at a glance; what lies past twice the limit ends in an arrow.
"""

from __future__ import annotations

from xml.sax.saxutils import escape

from lowsimmer.domain.groups import SUMS, Group, component_label
from lowsimmer.domain.limits import Load
from lowsimmer.loads.assess import Assessment
from lowsimmer.publishing.text import range_words

WIDTH = 900
ROW = 34
TOP = 64
LEFT = 210  # where the bars begin
SPAN = 400  # the length of twice the limit
MOST = 2.0  # shares of the limit that fit on the scale


def load_bars(result: Assessment) -> str:
    """The picture of one assessment as an SVG document."""
    names = (*(group.value for group in Group), *SUMS)
    height = TOP + ROW * len(names) + 40
    rows = "".join(_row(result.loads[name], TOP + ROW * place) for place, name in enumerate(names))
    title = escape(f"{result.title}: load of each group as a share of its limit ({result.profile.name})")
    summary = escape("; ".join(_words(result.loads[name]) for name in names))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'aria-labelledby="title description" font-family="Georgia, serif" font-size="15" fill="#222">\n'
        f'<title id="title">{title}</title>\n<desc id="description">{summary}</desc>\n'
        f"{_HATCH}"
        f'<rect width="{WIDTH}" height="{height}" fill="#fdfcf8"/>\n'
        f'<text x="24" y="30" font-size="19">{escape(result.title)}</text>\n'
        f'<text x="24" y="52" font-size="13" fill="#555">{escape(_legend(result))}</text>\n'
        f'{rows}<text x="{LEFT + SPAN / 2}" y="{height - 14}" font-size="12" fill="#555" text-anchor="middle">'
        f"limit</text>\n</svg>\n"
    )


def _legend(result: Assessment) -> str:
    return f"per serving, against the {result.profile.name} limits; bar: middle figure, whisker: nine cases in ten"


_HATCH = (
    '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#d9d4c7"/><line x1="0" y1="0" x2="0" y2="6" stroke="#7a7466" stroke-width="2"/>'
    "</pattern></defs>\n"
)


def _row(load: Load, top: float) -> str:
    middle = top + ROW / 2
    tick = LEFT + SPAN / MOST
    return (
        f'<text x="24" y="{middle + 5}">{escape(component_label(load.component))}</text>\n'
        f'<rect x="{LEFT}" y="{top + 9}" width="{_length(load, load.range.value):.1f}" height="16" fill="url(#hatch)" '
        f'stroke="#555" stroke-width="0.7"/>\n'
        f'<line x1="{tick}" y1="{top + 3}" x2="{tick}" y2="{top + 31}" stroke="#222" stroke-width="2"/>\n'
        f"{_whisker(load, middle)}"
        f'<text x="{LEFT + SPAN + 18}" y="{middle + 5}" font-size="13">{escape(_figures(load))}</text>\n'
    )


def _length(load: Load, grams: float) -> float:
    return min(grams / load.limit.grams, MOST) / MOST * SPAN


def _whisker(load: Load, middle: float) -> str:
    low, high = LEFT + _length(load, load.range.low), LEFT + _length(load, load.range.high)
    if high - low < 0.5:
        return ""
    beyond = load.range.high / load.limit.grams > MOST
    back = high - 7
    end = (
        f'<path d="M{back:.1f} {middle - 5} L{high:.1f} {middle} L{back:.1f} {middle + 5}" fill="none" stroke="#222"/>'
        if beyond
        else f'<line x1="{high:.1f}" y1="{middle - 5}" x2="{high:.1f}" y2="{middle + 5}" stroke="#222"/>'
    )
    return (
        f'<line x1="{low:.1f}" y1="{middle}" x2="{high:.1f}" y2="{middle}" stroke="#222"/>'
        f'<line x1="{low:.1f}" y1="{middle - 5}" x2="{low:.1f}" y2="{middle + 5}" stroke="#222"/>{end}\n'
    )


def _figures(load: Load) -> str:
    return f"{range_words(load.range)} of {load.limit.grams:g} g, {load.verdict.value}"


def _words(load: Load) -> str:
    return f"{component_label(load.component)} {_figures(load)}"
