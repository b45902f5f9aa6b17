"""Load bars for a column of a page: words above each bar, so that they can be read at the width of a phone.

One bar a component, all on one scale, shares of their limit: a tick at the limit, a whisker for nine cases in ten, the
words for the grams, the share and the verdict. What lies past twice the limit ends in an arrow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from lowsimmer.domain.groups import SUMS, Group, component_label
from lowsimmer.domain.limits import Load
from lowsimmer.loads.assess import Assessment
from lowsimmer.publishing.inline import in_ink
from lowsimmer.publishing.picture import HATCH, Scale, whisker
from lowsimmer.publishing.text import range_words

WIDTH, ROW, BAR_TOP, BAR = 460, 72, 42, 16
MOST = 2.0  # shares of the limit that fit on the scale
TICK = WIDTH / MOST
COMPONENTS = (*(group.value for group in Group), *SUMS)

Link = Callable[[str], str]  # component -> the address of its why


def column_bars(result: Assessment, prefix: str, link: Link | None = None) -> str:
    """The bars of one assessment; `prefix` begins the ids, so that several can stand in one page.

    `link` makes the name of each component lead somewhere.
    """
    rows = "".join(_row(result.loads[name], ROW * place, prefix, link) for place, name in enumerate(COMPONENTS))
    words = "; ".join(f"{component_label(name)} {load_words(result.loads[name])}" for name in COMPONENTS)
    height = ROW * len(COMPONENTS) + 20
    foot = f'<text x="{TICK}" y="{height - 5}" font-size="13" fill="#555" text-anchor="middle">limit</text>\n'
    title = f"Load of each group as a share of its limit ({result.profile.name})"
    body = f"{HATCH.replace('hatch', prefix + '-hatch')}{rows}{foot}"
    return Column(title, words, height, prefix, link is not None).around(body)


@dataclass(frozen=True, slots=True)
class Column:
    """The frame of a picture for a column; one that holds links is a group, for nobody could reach into an image."""

    title: str
    words: str
    height: float
    prefix: str
    linked: bool

    def around(self, body: str) -> str:
        """The whole picture."""
        role = "group" if self.linked else "img"
        return in_ink(
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {self.height:g}" role="{role}" '
            f'aria-labelledby="{self.prefix}-title" aria-describedby="{self.prefix}-description" font-size="15" '
            f'fill="#222">\n<title id="{self.prefix}-title">{escape(self.title)}</title>\n'
            f'<desc id="{self.prefix}-description">{escape(self.words)}</desc>\n{body}</svg>\n'
        )


def load_words(load: Load) -> str:
    """`0.12 (0.05 to 0.20) g, 60 % of the limit, within limit`; what is not known is said to be unknown."""
    return f"{known_words(load)}, {load.verdict.value}"


def known_words(load: Load) -> str:
    """The grams and their share of the limit; unknown grams of food are said beside them, or in their place."""
    if load.nothing_known:
        return "unknown"
    known = f"{range_words(load.range)} g, {share_words(load.share)}"
    return f"{known}, some unknown" if _matters(load) else known


def _matters(load: Load) -> bool:
    return not load.bounded and (load.unknown_g > 0 or bool(load.unknown_lines))


def share_words(share: float) -> str:
    """A share of a limit in words."""
    if share == 0:
        return "nothing of the limit"
    if share < 0.01:
        return "under 1 % of the limit"
    return f"{share * 100:.0f} % of the limit" if share < 2 else f"{share:.1f} times the limit"


def named(component: str, top: float, link: Link | None) -> str:
    """The name of a component above its bar, as a link where there is somewhere to go."""
    words = f'<text x="0" y="{top + 16}">{escape(component_label(component))}</text>'
    return f"<a href={quoteattr(link(component))}>{words}</a>\n" if link else f"{words}\n"


def _row(load: Load, top: float, prefix: str, link: Link | None) -> str:
    scale = Scale(0.0, MOST * load.limit.grams, WIDTH - 2)
    return (
        f'{named(load.component, top, link)}{said(load, top)}<rect x="0" y="{top + BAR_TOP}" '
        f'width="{scale.at(load.range.value):.1f}" height="{BAR}" fill="url(#{prefix}-hatch)" stroke="#555" '
        f'stroke-width="0.7"/>\n{against(scale, top)}'
        f"{nine_in_ten(load, scale, top + BAR_TOP + BAR / 2)}"
    )


def nine_in_ten(load: Load, scale: Scale, middle: float) -> str:
    """The whisker of a load; one that lies wholly beyond the scale is an arrow at its end."""
    low, high = scale.at(load.range.low), scale.at(load.range.high)
    return whisker(
        min(low, high - 14) if scale.beyond(load.range.low) else low, high, middle, scale.beyond(load.range.high)
    )


def said(load: Load, top: float) -> str:
    """The verdict beside the name of a component, its grams and share below."""
    return (
        f'<text x="{WIDTH}" y="{top + 16}" text-anchor="end">{load.verdict.value}</text>\n'
        f'<text x="0" y="{top + 35}" font-size="13.5" fill="#555">{escape(known_words(load))}</text>\n'
    )


def against(scale: Scale, top: float) -> str:
    """The ground line of a bar and the tick at its limit."""
    ground, tick = top + BAR_TOP + BAR, scale.length / MOST
    return (
        f'<line x1="0" y1="{ground}" x2="{WIDTH}" y2="{ground}" stroke="#bbb5a6"/>\n'
        f'<line x1="{tick:g}" y1="{top + BAR_TOP - 4}" x2="{tick:g}" y2="{ground + 4}" stroke="#222" '
        f'stroke-width="2"/>\n'
    )
