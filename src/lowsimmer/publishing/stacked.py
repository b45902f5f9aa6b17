"""Stacked load bars for a column of a page: which dish brings how much of each component, against the limit.

As in the load bars the length is the middle figure on a scale of shares of the limit, and the whisker below it covers
nine cases in ten of the whole. Each dish has a pattern of its own, told in the legend and, where there is room, by name
in its piece; a piece of a dish is its share of the mean. Nothing is said by colour.
"""

from __future__ import annotations

from xml.sax.saxutils import escape

from lowsimmer.domain.groups import component_label
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.stacks import Piece, Stack, stacks
from lowsimmer.publishing.bars import MOST, WIDTH, Column, Link, load_words, named, nine_in_ten, said
from lowsimmer.publishing.picture import Scale
from lowsimmer.publishing.text import grams

ROW, BAR_TOP, BAR, LANE = 84, 42, 20, 8  # the whisker has a lane of its own below the bar, so that names stay readable
ENTRY, LETTER, SMALL = (
    24,
    6.4,
    11.5,
)  # height of an entry of the legend; width of a letter and size of a name in a piece
HAIR = 0.5  # a piece narrower than this is not drawn

# What fills a tile of 8 by 8, in the order of the dishes; each is told from the others by direction or shape.
_LINE = 'stroke="#222" stroke-width="1" fill="none"'
_TILES = (
    f'<path d="M-2 2 L2 -2 M0 8 L8 0 M6 10 L10 6" {_LINE}/>',
    '<circle cx="2" cy="2" r="1.3" fill="#222"/><circle cx="6" cy="6" r="1.3" fill="#222"/>',
    f'<path d="M0 2 H8 M0 6 H8" {_LINE}/>',
    f'<path d="M0 4 H8 M4 0 V8" {_LINE}/>',
    f'<path d="M-2 6 L2 10 M0 0 L8 8 M6 -2 L10 2" {_LINE}/>',
    f'<circle cx="4" cy="4" r="2.4" {_LINE}/>',
    f'<path d="M0 6 L4 2 L8 6" {_LINE}/>',
    '<rect x="0" y="0" width="4" height="4" fill="#222"/><rect x="4" y="4" width="4" height="4" fill="#222"/>',
    f'<path d="M2 0 V8 M6 0 V8" {_LINE}/>',
)
PATTERNS = len(_TILES)
_JOINING = {"and", "with", "of", "on", "in", "for", "the", "a", "&", "or", "from", "to"}


def stacked_bars(result: Assessment, prefix: str, link: Link | None = None) -> str:
    """The stacked bars of one plate; `prefix` begins the ids, so that several pictures can stand in one page.

    `link` makes the name of each component lead somewhere.
    """
    found = stacks(result)
    dishes = [piece.dish for piece in found[0].pieces]
    top = ENTRY * len(dishes) + 14
    rows = "".join(_row(each, top + ROW * place, prefix, link) for place, each in enumerate(found))
    height = top + ROW * len(found) + 20
    tick = _scale(found[0]).length / MOST
    foot = f'<text x="{tick:g}" y="{height - 5}" font-size="13" fill="#555" text-anchor="middle">limit</text>\n'
    title = f"Load of each group by dish, as a share of its limit ({result.profile.name})"
    body = f"{_patterns(len(dishes), prefix)}{_legend(dishes, prefix)}{rows}{foot}"
    return Column(title, "; ".join(map(stack_words, found)), height, prefix, link is not None).around(body)


def stack_words(stack: Stack) -> str:
    """`GOS 0.37 (0.17 to 0.69) g, 123 % of the limit, too close to call: Warm lentils 0.28 g (75 %)`."""
    parts = [_piece_words(each) for each in stack.pieces if each.mean > 0 or each.unknown]
    return f"{component_label(stack.component)} {load_words(stack.load)}" + (f": {', '.join(parts)}" if parts else "")


def _piece_words(piece: Piece) -> str:
    if piece.mean <= 0:
        return f"{piece.dish} unknown"
    return f"{piece.dish} {grams(piece.mean)} g ({piece.share:.0%}){' and some unknown' if piece.unknown else ''}"


def _patterns(count: int, prefix: str) -> str:
    """The fills of the dishes; an eighth of ink below each keeps a piece visible between its lines."""
    tiles = "".join(
        f'<pattern id="{prefix}-dish{place}" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<rect width="8" height="8" fill="#d9d4c7"/>{tile}</pattern>\n'
        for place, tile in enumerate(_TILES[:count])
    )
    return f"<defs>{tiles}</defs>\n"


def _fill(place: int, prefix: str) -> str:
    return f'fill="url(#{prefix}-dish{place % PATTERNS})" stroke="#222" stroke-width="0.8"'


def _legend(dishes: list[str], prefix: str) -> str:
    return "".join(
        f'<rect x="0" y="{ENTRY * place + 2}" width="34" height="16" {_fill(place, prefix)}/>\n'
        f'<text x="44" y="{ENTRY * place + 15}" font-size="14">{escape(_shortened(dish, 54))}</text>\n'
        for place, dish in enumerate(dishes)
    )


def _shortened(words: str, most: int) -> str:
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


def _scale(stack: Stack) -> Scale:
    return Scale(0.0, MOST * stack.load.limit.grams, WIDTH - 2)


def _row(stack: Stack, top: float, prefix: str, link: Link | None) -> str:
    scale, ground = _scale(stack), top + BAR_TOP + BAR
    tick = scale.length / MOST
    return (
        f"{named(stack.component, top, link)}{said(stack.load, top)}{_pieces(stack, scale, top + BAR_TOP, prefix)}"
        f'<line x1="0" y1="{ground}" x2="{WIDTH}" y2="{ground}" stroke="#bbb5a6"/>\n'
        f'<line x1="{tick:g}" y1="{top + BAR_TOP - 4}" x2="{tick:g}" y2="{ground + 2 * LANE}" stroke="#222" '
        f'stroke-width="2"/>\n{nine_in_ten(stack.load, scale, ground + LANE)}'
    )


def _pieces(stack: Stack, scale: Scale, top: float, prefix: str) -> str:
    """The pieces one after the other, up to the middle figure of the whole or the end of the scale."""
    drawn, begin = list[str](), 0.0
    for number, piece in enumerate(stack.pieces):
        end = begin + piece.share * stack.load.range.value
        left, right = scale.at(begin), scale.at(end)
        begin = end
        if right - left >= HAIR:
            drawn.append(_piece(piece, (left, right), top, _fill(number, prefix)))
    return "".join(drawn)


def _piece(piece: Piece, ends: tuple[float, float], top: float, fill: str) -> str:
    left, right = ends
    return (
        f"<g><title>{escape(_piece_words(piece))}</title>\n"
        f'<rect x="{left:.1f}" y="{top}" width="{right - left:.1f}" height="{BAR}" {fill}/>\n'
        f"{_name(piece.dish, ends, top)}</g>\n"
    )


def _name(dish: str, ends: tuple[float, float], top: float) -> str:
    """The name of the dish on a clear ground in its piece: whole, else its first words, where there is room."""
    left, right = _clear_of_tick(ends)
    words = _fitting(dish, int((right - left - 14) / LETTER))
    if not words:
        return ""
    wide, middle = len(words) * LETTER + 6, (left + right) / 2
    return (
        f'<rect x="{middle - wide / 2:.1f}" y="{top + 3}" width="{wide:.1f}" height="{BAR - 6}" fill="#fdfcf8"/>\n'
        f'<text x="{middle:.1f}" y="{top + 14}" font-size="{SMALL}" text-anchor="middle">{escape(words)}</text>\n'
    )


def _clear_of_tick(ends: tuple[float, float]) -> tuple[float, float]:
    """The wider part of a piece on one side of the limit, so that the tick strikes out no name."""
    left, right = ends
    tick = (WIDTH - 2) / MOST
    if not left < tick < right:
        return ends
    return (left, tick) if tick - left >= right - tick else (tick, right)


def _fitting(dish: str, room: int) -> str:
    """As many whole words of a name as fit, without a joining word at the end; empty where too few do."""
    if len(dish) <= room:
        return dish
    words = dish[: max(0, room) + 1].split(" ")[:-1]
    while words and words[-1].strip(",").lower() in _JOINING:
        words.pop()
    short = " ".join(words).rstrip(",")
    return short if len(short) >= 4 else ""
