"""Draw docs/pictures/*.svg from the demo kitchen: `python tools/draw_pictures.py`. The same files every time.

supper.svg: the load bars of the demo supper. one-line.svg: one line of the lentil dish on its way to a verdict.
garlic-raw-fructan.svg: the published figures behind one estimate.
"""

from __future__ import annotations

import textwrap
from pathlib import Path
from xml.sax.saxutils import escape

from lowsimmer.demo import KITCHEN
from lowsimmer.domain.groups import Group
from lowsimmer.loads.assess import Assessment
from lowsimmer.loads.mix import Part, spread
from lowsimmer.loads.report import report
from lowsimmer.matching.search import search
from lowsimmer.publishing import forest
from lowsimmer.publishing.figure import load_bars
from lowsimmer.publishing.text import grams, range_words
from lowsimmer.reading.meal import open_plate
from lowsimmer.reference.composition import composition

PICTURES = Path(__file__).parents[1] / "docs" / "pictures"
WIDTH, BOX, GAP, LEFT = 760, 46, 18, 150
WRAP = 82
GARLIC = "garlic-raw-fructan.svg"


def assessed(name: str) -> Assessment:
    """One file of the demo kitchen, assessed for the restriction phase."""
    return report(open_plate(str(KITCHEN / name))).result


def stages(result: Assessment, part: Part) -> list[tuple[str, str]]:
    """(stage, what the line is after it) for one line, GOS taken as the group to follow."""
    item, load = part.item, result.loads[Group.GOS.value]
    assert item.key is not None
    assert item.grams is not None
    assert part.grams is not None
    content, gos = composition(item.key)[Group.GOS], part.loads[Group.GOS]
    assert content is not None
    assert gos is not None
    share = part.portioned.share
    return [
        ("text", item.line.text.strip()),
        ("line", f"{item.line.name}; {item.line.preparation}"),
        ("food and form", f"{item.label} ({item.key.food}, {item.key.form})"),
        ("grams", f"{range_words(item.grams.range)} g in the dish = {item.grams.words()}"),
        ("eaten", f"{range_words(spread(part.grams))} g: {share:g} of the dish"),
        (
            "content",
            f"GOS {grams(content.value)} ({grams(content.low)} to {grams(content.high)}) g per 100 g, {content.grade}",
        ),
        ("load", f"GOS {range_words(spread(gos))} g from this line"),
        ("verdict", f"GOS of the serving {range_words(load.range)} g of {load.limit.grams:g} g: {load.verdict.value}"),
    ]


def chain(title: str, steps: list[tuple[str, str]]) -> str:
    """Boxes below one another with arrows between them, as an SVG document."""
    height = 60 + len(steps) * (BOX + GAP)
    boxes = "".join(_box(50 + place * (BOX + GAP), name, words) for place, (name, words) in enumerate(steps))
    arrows = "".join(_arrow(50 + place * (BOX + GAP) + BOX) for place in range(len(steps) - 1))
    summary = escape("; ".join(f"{name}: {words}" for name, words in steps))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'aria-labelledby="title description" font-family="Georgia, serif" font-size="14" fill="#222">\n'
        f'<title id="title">{escape(title)}</title>\n<desc id="description">{summary}</desc>\n'
        f'<rect width="{WIDTH}" height="{height}" fill="#fdfcf8"/>\n'
        f'<text x="24" y="32" font-size="18">{escape(title)}</text>\n{boxes}{arrows}</svg>\n'
    )


def _box(top: int, name: str, words: str) -> str:
    lines = textwrap.wrap(words, WRAP)[:2]
    first = top + BOX / 2 + (5 if len(lines) == 1 else -4)
    text = "".join(
        f'<text x="{LEFT + 14}" y="{first + 18 * place:g}" font-size="13">{escape(line)}</text>\n'
        for place, line in enumerate(lines)
    )
    return (
        f'<text x="24" y="{top + BOX / 2 + 5:g}" fill="#555">{escape(name)}</text>\n'
        f'<rect x="{LEFT}" y="{top}" width="{WIDTH - LEFT - 24}" height="{BOX}" fill="#fff" stroke="#7a7466"/>\n{text}'
    )


def _arrow(top: int) -> str:
    x = LEFT + 40
    return f'<path d="M{x} {top} v{GAP - 2} m-4 -6 l4 6 l4 -6" fill="none" stroke="#222"/>\n'


def pictures() -> dict[str, str]:
    """File name -> SVG."""
    lentils = assessed("lentils.md")
    part = next(each for each in lentils.parts if "lentils" in each.item.line.text)
    return {
        "supper.svg": load_bars(assessed("supper.yaml")),
        "one-line.svg": chain("One line on its way to a verdict", stages(lentils, part)),
        GARLIC: forest.pictures(search("garlic raw"))[GARLIC],
    }


if __name__ == "__main__":
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name, picture in pictures().items():
        (PICTURES / name).write_text(picture, encoding="utf-8")
