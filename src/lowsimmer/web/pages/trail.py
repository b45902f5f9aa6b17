"""The way back from a figure, and how a figure is known, in the words that the evidence pages share.

A page that was reached by a link carries that page's address as `back`; only addresses of our own pages are taken, so
nobody can put another one into a link.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import parse_qsl, quote, urlencode, urlsplit

from starlette.requests import Request

from lowsimmer.domain.foods import Estimate, FoodKey
from lowsimmer.domain.groups import SUMS, Group, component_label
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.loads.phases import PHASES
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.table import OWN_SOURCE, sources

LONGEST_BACK = 600
_WHY = re.compile(r"/(dishes|plates)/([a-z0-9-]{1,80})/why/([a-z-]{1,40})")
_FOOD = re.compile(r"/foods/([a-z0-9-]{1,80})/([a-z0-9-]{1,80})")
_PLACE = re.compile(r"[a-z0-9-]{0,80}")
_SERVINGS = re.compile(r"\d{1,2}(\.\d{1,3})?")

KNOWN = {
    Evidence.SEEN: "read",
    Evidence.RULE: "by rule",
    Evidence.DERIVED: "derived",
    Evidence.MEMORY: "recalled",
    Evidence.PRACTICE: "common practice",
    Evidence.OWN: "own",
}


@dataclass(frozen=True, slots=True)
class Back:
    """The page that a reader came from: its address and what it is called."""

    address: str
    words: str


def known_words(evidence: Evidence) -> str:
    """How a figure is known, in full: `read in the source`, or the mark that goes with every such figure."""
    plain = {Evidence.SEEN: "read in the source", Evidence.RULE: "by rule"}
    return evidence.mark or plain.get(evidence, evidence.value)


def evidence_word(estimate: Estimate | None) -> str:
    """One word for a cell of the catalogue; what nobody has a figure for is unknown."""
    if estimate is None:
        return "unknown"
    return f"{'zero, ' if estimate.known_zero else ''}{KNOWN[estimate.grade]}"


def food_address(key: FoodKey, back: str = "", place: str = "") -> str:
    """The page of one food and form, at a place of it, with the way back."""
    return f"/foods/{quote(key.food, safe='')}/{quote(key.form, safe='')}{_query(back)}{'#' + place if place else ''}"


def source_address(key: str, back: str = "", words: str = "") -> str:
    """The page of a source, its figures narrowed to `words`; own figures are looked up where they are kept.

    Empty for what has no page.
    """
    if key.startswith(OWN_SOURCE):
        return "/figures#in-use"
    if key not in sources():
        return ""
    return f"/sources/{quote(key, safe='')}{_query(back, words)}"


def _query(back: str, words: str = "") -> str:
    given = {"words": words, "back": back if len(back) <= LONGEST_BACK else ""}
    kept = {name: value for name, value in given.items() if value}
    return "?" + urlencode(kept) if kept else ""


def here(request: Request) -> str:
    """The address of the page that is asked for, made again from its known pieces, for `back` of the links on it."""
    found = checked_back(f"{request.url.path}?{request.url.query}")
    return found.address if found else ""


def back_of(request: Request) -> Back | None:
    """The page that a reader came from; None without one, or for an address that is none of ours."""
    return checked_back(request.query_params.get("back", ""))


def checked_back(given: str) -> Back | None:
    """A `back` made again from its known pieces; None for anything else."""
    plain = given.startswith("/") and given.isascii() and "//" not in given[:2] and len(given) <= LONGEST_BACK
    parts = urlsplit(given) if plain else None
    if parts is None or not _PLACE.fullmatch(parts.fragment):
        return None
    place = f"#{parts.fragment}" if parts.fragment else ""
    if found := _WHY.fullmatch(parts.path):
        if found[3] not in SUMS and found[3] not in set(Group):
            return None
        words = f"{component_label(found[3])} in {found[2]}"
        return Back(parts.path + _kept_query(parts.query) + place, words)
    if found := _FOOD.fullmatch(parts.path):
        food = foods().get(FoodKey(found[1], found[2]))
        return Back(parts.path + _kept_query(parts.query) + place, food.label) if food else None
    return None


def _kept_query(query: str) -> str:
    """The pieces of a query that our pages give: phase, servings, and a way further back that is one of ours."""
    given = dict(parse_qsl(query))
    kept = {"phase": given["phase"]} if given.get("phase") in PHASES else {}
    if _SERVINGS.fullmatch(given.get("servings", "")):
        kept["servings"] = given["servings"]
    if further := checked_back(given.get("back", "")):
        kept["back"] = further.address
    return "?" + urlencode(kept) if kept else ""
