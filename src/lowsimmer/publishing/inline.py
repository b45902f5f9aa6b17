"""Our pictures for a page that holds several: ids of their own, and no frame of paper, for the page is the paper.

Colours stay those of the files; the style sheet of the page turns each of them into its own ink, light or dark.
"""

from __future__ import annotations

import re

from lowsimmer.publishing.picture import PAPER

_IDS = re.compile(r'(id="|url\(#)(title|description|hatch)\b')


def inline(picture: str, prefix: str) -> str:
    """A picture made by `picture.document`, to stand in a page under ids that begin with `prefix`."""
    own = _IDS.sub(rf"\g<1>{prefix}-\g<2>", picture)
    own = own.replace('aria-labelledby="title description"', f'aria-labelledby="{prefix}-title {prefix}-description"')
    return re.sub(rf'<rect width="\d+" height="[\d.]+" fill="{PAPER}"/>\n', "", own, count=1)
