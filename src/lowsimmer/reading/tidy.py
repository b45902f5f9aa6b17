"""Making a pasted line plain: one kind of fraction, dash, space and multiplication sign.

The text keeps its letters and their case; only typography is changed. `½` becomes ` 1/2`, `2–3` becomes `2-3`,
`2 × 400 g` becomes `2 x 400 g`, list marks in front of the line go.
"""

from __future__ import annotations

import html
import re
import unicodedata

LONGEST_LINE = 600  # characters; a longer line is not an ingredient line

_PLAIN = str.maketrans(
    {
        "–": "-", "—": " - ", "‒": "-", "−": "-", "‑": "-", "⁄": "/", "∕": "/", "×": "x",
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u200b": "", "\ufeff": "", "’": "'", "‘": "'",
        "“": '"', "”": '"', "\t": " ", "•": " ", "·": " ", "▢": " ", "☐": " ", "□": " ",
    }
)  # fmt: skip
_FRACTION = re.compile(r"[¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]")
_MARK = re.compile(r"^\s*(?:[-*+]\s+|\[[ xX]?\]\s*|\d{1,2}[.)]\s+)+")
_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d{1,2}(?!\d))")
_BIG_T = re.compile(r"(?<=[\d/] )T(?=\.? )|(?<=\d)T(?=\.? )")


def _spell_fraction(match: re.Match[str]) -> str:
    return " " + unicodedata.normalize("NFKC", match.group()).replace("⁄", "/")


def tidy(text: str) -> str:
    """The line with plain typography, one space between words, no list mark, no markup entities.

    Each pattern runs only where its first sign is present: most lines need none of them.
    """
    if "&" in text:
        text = html.unescape(text).replace("&", " and ")
    if not text.isascii():
        text = unicodedata.normalize("NFC", text)
        text = _FRACTION.sub(_spell_fraction, text).translate(_PLAIN)
    text = text.replace("**", "").strip(" *_")
    if not text[:1].isalpha():
        text = _MARK.sub("", text)
    if "," in text:
        text = _DECIMAL_COMMA.sub(".", _THOUSANDS.sub("", text))
    if "T" in text:
        text = _BIG_T.sub(" tbsp", text)
    return " ".join(text.split()).strip(" *_")
