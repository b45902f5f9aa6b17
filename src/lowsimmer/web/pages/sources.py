"""Every source of a figure, and one source with all that was taken from it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from urllib.parse import quote, urlencode

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.domain.foods import FoodKey
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.evidence import SourceUse, source_use, source_uses
from lowsimmer.reference.own import GROUP_OF
from lowsimmer.reference.table import rows
from lowsimmer.store.records import NotKept
from lowsimmer.web.pages.common import render
from lowsimmer.web.pages.trail import back_of, food_address, known_words

PAGE = 100
LONGEST_WORDS = 80
_TABLES = {
    "profiles.csv": "limits",
    "zeros.csv": "rules of zero",
    "derivations.csv": "steps from one form to another",
    "ceilings.csv": "bounds of an unknown",
    "pieces": "weights of pieces",
    "densities": "densities",
    "measures.csv": "measures",
    "heaps.csv": "heaped measures",
    "drained.csv": "drained weights",
    "packages.csv": "packages",
    "cautions.csv": "cautions",
    "allergen_lists.csv": "words of allergen lists",
}
_SIGNS = {"<": "below ", "~": "about ", "nd": "not found, ", "tr": "a trace, "}


@dataclass(frozen=True, slots=True)
class TakenRow:
    """One figure that was taken from a source, as the cells of a table row."""

    label: str
    address: str
    analyte: str
    value: str
    range: str
    n: str
    place: str
    note: str
    known: str
    decision: str


def every(request: Request) -> Response:
    """All sources with how much was taken of each; `words` narrow the list."""
    words = _words(request)
    listed = [use for use in source_uses().values() if _holds(words, use.key, *use.row.values())]
    return render(
        request,
        "sources.html",
        words=words,
        uses=[(use, other_uses().get(use.key, "")) for use in listed],
        total=len(source_uses()),
        used=sum(use.used for use in listed),
        aside=sum(use.set_aside for use in listed),
    )


def _words(request: Request) -> str:
    return request.query_params.get("words", "")[:LONGEST_WORDS].strip()


def _holds(words: str, *texts: str) -> bool:
    """True when every word stands somewhere in the texts."""
    whole = " ".join(texts).lower()
    return all(word in whole for word in words.lower().split())


@cache
def other_uses() -> dict[str, str]:
    """Source key -> what else it stands behind, beside composition: `9 limits, 2 densities`."""
    found: dict[str, list[str]] = {}
    for table, words in _TABLES.items():
        for key, count in Counter(row["source"] for row in rows(table)).items():
            found.setdefault(key, []).append(f"{words}: {count}")
    return {key: ", ".join(each) for key, each in found.items()}


def one(request: Request) -> Response:
    """One source; its figures are narrowed by words and leafed through, the used ones first."""
    key = request.path_params["key"]
    if key not in source_uses():
        raise NotKept(f"No source is called '{key[:60]}'.", "See the list of sources.")
    use, words, start = source_use(key), _words(request), _start(request)
    found = _narrowed(use, words)
    back = back_of(request)
    way = {"back": request.query_params["back"]} if back else {}

    def leaf(at: int) -> str:
        return f"/sources/{quote(key, safe='')}?{urlencode({'words': words, 'start': at, **way})}"

    return render(
        request,
        "source.html",
        use=use,
        also=other_uses().get(key, ""),
        words=words,
        back=back,
        way=way,
        rows=[_taken(row) for row in found[start : start + PAGE]],
        found=len(found),
        start=start,
        page=PAGE,
        leaf=leaf,
        whole=f"/sources/{quote(key, safe='')}" + (f"?{urlencode(way)}" if way else ""),
    )


def _start(request: Request) -> int:
    given = request.query_params.get("start", "0")
    return int(given) if given.isascii() and given.isdigit() and len(given) < 6 else 0


def _narrowed(use: SourceUse, words: str) -> Sequence[dict[str, str]]:
    """The figures that hold all words, in food, form, group or place; used ones first."""
    held = [row for row in use.figures if _holds(words, row["food"], row["form"], row["analyte"], row["locator"])]
    return sorted(held, key=lambda row: row["decision"] != "used")


def _taken(row: dict[str, str]) -> TakenRow:
    key = FoodKey(row["food"], row["form"])
    group = GROUP_OF.get(row["analyte"])
    known = key in foods()
    return TakenRow(
        label=foods()[key].label if known else str(key),
        address=food_address(key, place=group.value if group else "") if known else "",
        analyte=row["analyte"],
        value=f"{_SIGNS.get(row['qualifier'], '')}{row['value']}",
        range=f"{row['low']} to {row['high']}" if row["low"] and row["high"] else _limit_or_sd(row),
        n=row["n"] or "not given",
        place=row["locator"],
        note=row["note"],
        known=known_words(Evidence(row["evidence"])),
        decision=row["decision"].replace("set-aside", "set aside"),
    )


def _limit_or_sd(row: dict[str, str]) -> str:
    if row["high"]:
        return f"limit {row['high']}"
    return f"sd {row['sd']}" if row["sd"] else "not given"


routes = [Route("/sources", every), Route("/sources/{key}", one)]
