"""Load bars for a column of a page: words above each bar, so that they can be read at the width of a phone.

One bar a component, all on one scale, shares of their limit: a tick at the limit, a whisker for nine cases in ten, the
words for the grams, the share and the verdict. What lies past twice the limit ends in an arrow.
"""

from __future__ import annotations

from xml.sax.saxutils import escape

from lowsimmer.domain.groups import SUMS, Group, component_label
from lowsimmer.domain.limits import Load
from lowsimmer.loads.assess import Assessment
from lowsimmer.publishing.picture import HATCH, Scale, whisker
from lowsimmer.publishing.text import range_words

WIDTH, ROW, BAR_TOP, BAR = 460, 54, 24, 16
MOST = 2.0  # shares of the limit that fit on the scale
TICK = WIDTH / MOST


def column_bars(result: Assessment, prefix: str) -> str:
    """The bars of one assessment; `prefix` begins the ids, so that several can stand in one page."""
    names = (*(group.value for group in Group), *SUMS)
    rows = "".join(_row(result.loads[name], ROW * place, prefix) for place, name in enumerate(names))
    words = "; ".join(f"{component_label(name)} {load_words(result.loads[name])}" for name in names)
    height = ROW * len(names) + 20
    foot = f'<text x="{TICK}" y="{height - 5}" font-size="13" fill="#555" text-anchor="middle">limit</text>\n'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-description" font-size="15" fill="#222">\n'
        f'<title id="{prefix}-title">Load of each group against its limit ({escape(result.profile.name)})</title>\n'
        f'<desc id="{prefix}-description">{escape(words)}</desc>\n'
        f"{HATCH.replace('hatch', prefix + '-hatch')}{rows}{foot}</svg>\n"
    )


def load_words(load: Load) -> str:
    """`0.12 (0.05 to 0.20) g, 60 % of the limit, within limit`; what is not known is said to be unknown."""
    if load.nothing_known:
        return f"unknown, {load.verdict.value}"
    return f"{range_words(load.range)} g, {share_words(load.share)}, {load.verdict.value}"


def share_words(share: float) -> str:
    """A share of a limit in words."""
    if share == 0:
        return "nothing of the limit"
    if share < 0.01:
        return "under 1 % of the limit"
    return f"{share * 100:.0f} % of the limit" if share < 2 else f"{share:.1f} times the limit"


def _row(load: Load, top: float, prefix: str) -> str:
    scale = Scale(0.0, MOST * load.limit.grams, WIDTH - 2)
    middle = top + BAR_TOP + BAR / 2
    low, high = scale.at(load.range.low), scale.at(load.range.high)
    known = "unknown" if load.nothing_known else f"{range_words(load.range)} g, {share_words(load.share)}"
    return (
        f'<text x="0" y="{top + 16}">{escape(component_label(load.component))}</text>\n'
        f'<text x="{WIDTH}" y="{top + 16}" font-size="13.5" text-anchor="end" fill="#555">{escape(known)}</text>\n'
        f'<line x1="0" y1="{top + BAR_TOP + BAR}" x2="{WIDTH}" y2="{top + BAR_TOP + BAR}" stroke="#bbb5a6"/>\n'
        f'<rect x="0" y="{top + BAR_TOP}" width="{scale.at(load.range.value):.1f}" height="{BAR}" '
        f'fill="url(#{prefix}-hatch)" stroke="#555" stroke-width="0.7"/>\n'
        f'<line x1="{TICK}" y1="{top + BAR_TOP - 3}" x2="{TICK}" y2="{top + BAR_TOP + BAR + 3}" stroke="#222" '
        f'stroke-width="2"/>\n{whisker(low, high, middle, scale.beyond(load.range.high))}'
    )
