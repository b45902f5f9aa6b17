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
from lowsimmer.publishing.picture import Scale, document, heading, whisker
from lowsimmer.publishing.text import range_words

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
    title = f"{result.title}: load of each group as a share of its limit ({result.profile.name})"
    summary = "; ".join(_words(result.loads[name]) for name in names)
    foot = (
        f'<text x="{LEFT + SPAN / 2}" y="{height - 14}" font-size="12" fill="#555" text-anchor="middle">limit</text>\n'
    )
    return document(title, summary, height, heading(result.title, _legend(result)) + rows + foot)


def _legend(result: Assessment) -> str:
    return f"per serving, against the {result.profile.name} limits; bar: middle figure, whisker: nine cases in ten"


def _row(load: Load, top: float) -> str:
    middle = top + ROW / 2
    tick = LEFT + SPAN / MOST
    scale = Scale(0.0, MOST * load.limit.grams, SPAN)
    low, high = LEFT + scale.at(load.range.low), LEFT + scale.at(load.range.high)
    return (
        f'<text x="24" y="{middle + 5}">{escape(component_label(load.component))}</text>\n'
        f'<rect x="{LEFT}" y="{top + 9}" width="{scale.at(load.range.value):.1f}" height="16" fill="url(#hatch)" '
        f'stroke="#555" stroke-width="0.7"/>\n'
        f'<line x1="{tick}" y1="{top + 3}" x2="{tick}" y2="{top + 31}" stroke="#222" stroke-width="2"/>\n'
        f"{whisker(low, high, middle, scale.beyond(load.range.high))}"
        f'<text x="{LEFT + SPAN + 18}" y="{middle + 5}" font-size="13">{escape(_figures(load))}</text>\n'
    )


def _figures(load: Load) -> str:
    known = "unknown" if load.nothing_known else f"{range_words(load.range)} of {load.limit.grams:g} g"
    return f"{known}, {load.verdict.value}"


def _words(load: Load) -> str:
    return f"{component_label(load.component)} {_figures(load)}"
