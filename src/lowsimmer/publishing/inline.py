"""Our pictures for a page that holds several: ids of their own, no frame of paper, and the ink of the page itself.

A file has fixed colours. In a page every line and letter takes the colour of the text around it (`currentColor`), so
that a picture is as readable on a dark page as on a light one; the classes `quiet` and `paper` let a style sheet say
more. There is no style attribute, for our pages allow none.
"""

from __future__ import annotations

import re

from lowsimmer.publishing.picture import PAPER

_TAG = re.compile(r"<[^>]*>")  # text in our pictures is escaped: a bracket is always that of a tag
_IDS = re.compile(r'( id="|"url\(#)(title|description|hatch)\b')
_INKS = {
    'fill="#222"': 'fill="currentColor"',
    'stroke="#222"': 'stroke="currentColor"',
    'fill="#555"': 'fill="currentColor" class="quiet"',
    'stroke="#555"': 'stroke="currentColor" stroke-opacity="0.75"',
    'stroke="#bbb5a6"': 'stroke="currentColor" stroke-opacity="0.35"',
    'fill="#d9d4c7"': 'fill="currentColor" fill-opacity="0.1"',
    'stroke="#7a7466"': 'stroke="currentColor" stroke-opacity="0.6"',
    f'fill="{PAPER}"': 'fill="Canvas" class="paper"',
}
_COLOUR = re.compile("|".join(map(re.escape, _INKS)))
_SHEET = re.compile(rf'<rect width="\d+" height="[\d.]+" fill="{PAPER}"/>\n')


def inline(picture: str, prefix: str) -> str:
    """A picture made by `picture.document`, to stand in a page under ids that begin with `prefix`."""
    bare = _SHEET.sub("", picture, count=1)
    return in_ink(_TAG.sub(lambda tag: _own_ids(tag.group(), prefix), bare))


def in_ink(picture: str) -> str:
    """A picture whose fixed colours are those of our files, with the ink of the page in their place."""
    return _TAG.sub(lambda tag: _COLOUR.sub(lambda each: _INKS[each.group()], tag.group()), picture)


def _own_ids(tag: str, prefix: str) -> str:
    own = _IDS.sub(rf"\g<1>{prefix}-\g<2>", tag)
    return own.replace('aria-labelledby="title description"', f'aria-labelledby="{prefix}-title {prefix}-description"')
