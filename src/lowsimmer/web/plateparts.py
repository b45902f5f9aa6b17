"""What the plate page shows, made from the kept text: the rows with their troubles, and the plate judged."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import PurePosixPath
from typing import Any

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Severity
from lowsimmer.domain.groups import Group
from lowsimmer.domain.limits import Load, Verdict
from lowsimmer.loads.assess import COMPONENTS, Assessment
from lowsimmer.loads.stacks import Piece, Stack, stacks
from lowsimmer.loads.stretch import stretch
from lowsimmer.publishing.stacked import stacked_bars
from lowsimmer.publishing.stretch import stretch_words
from lowsimmer.publishing.text import grams, range_words
from lowsimmer.reading.dish import read_dish
from lowsimmer.reference.catalogue import allergen_lists
from lowsimmer.reference.own import using
from lowsimmer.store.records import Document, DocumentKind, NotKept, Version
from lowsimmer.store.store import Store
from lowsimmer.web.kitchen import assessed, open_kept_plate
from lowsimmer.web.platesheet import Row

DISH = DocumentKind.DISH
MOST_OFFERED = 500


@dataclass(frozen=True, slots=True)
class RowShown:
    """One row of the form: the dish's title and address, and what is wrong with it, with a link to mend it."""

    row: Row
    title: str
    address: str
    trouble: str = ""
    mend: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class Missing:
    """Why a plate is not judged yet, with a link to where that can be mended."""

    words: str
    address: str = ""
    link: str = ""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One component of the table: what each dish brings in words, the whole, and its share of the limit, in words."""

    load: Load
    cells: tuple[str, ...]
    total: str
    share: str


def row_values(store: Store, row: Row) -> RowShown:
    """A row with its dish looked up; a dish that is missing, removed or not yet whole is said, never dropped."""
    name = PurePosixPath(f"{row.dish}.md").stem
    try:
        document, text = store.get(DISH, name), store.head(DISH, name).text
    except NotKept:
        sentence = f"No dish called '{name[:60]}' is kept here, so the plate cannot be judged."
        return RowShown(row, row.dish, "", sentence, ("/dishes/new", "Write it, or bring it in under Keeping."))
    address = f"/dishes/{name}"
    trouble = _unreadable(text, document.title)
    if trouble:
        return RowShown(row, document.title, address, f"Not yet readable: {trouble}", (address, "Open the dish."))
    if document.removed_at is not None:
        sentence = "This dish was taken off the bench; it is counted as it stood last."
        return RowShown(row, document.title, address, sentence, ("/keep#removed", "Put it back."))
    return RowShown(row, document.title, address)


@lru_cache(maxsize=512)
def _unreadable(text: str, title: str) -> str:
    """Why a dish cannot be read as it stands; empty for one that can. Remembered, for a page asks it of every row."""
    try:
        read_dish(text, f"'{title}'")
    except InputError as error:
        return str(error)
    return ""


def offered(store: Store) -> list[str]:
    """The titles of the kept dishes to pick from, the newest change first; a title used twice carries its name."""
    documents = store.list(DISH, count=MOST_OFFERED)
    titles = [each.title for each in documents]
    return [each.title if titles.count(each.title) == 1 else f"{each.title} ({each.name})" for each in documents]


def find_dish(store: Store, words: str) -> tuple[str | None, list[Document]]:
    """The name of the dish that is meant by a name, a title or one of `offered`; else None and dishes near by title."""
    wanted = words.strip()
    name = wanted.removesuffix(")").rpartition(" (")[2] if wanted.endswith(")") else wanted
    try:
        return store.get(DISH, name).name, []
    except NotKept:
        near = [
            each for each in store.list(DISH, wanted, count=MOST_OFFERED) if wanted.casefold() in each.title.casefold()
        ]
    exact = [each for each in near if each.title.casefold() == wanted.casefold()]
    return (exact[0].name if len(exact) == 1 else None), exact or near


def judged_values(store: Store, version: Version, phase: str, unreadable: str, rows: list[RowShown]) -> dict[str, Any]:
    """The plate judged for one phase, or in `missing` why it is not yet."""
    missing = _missing(unreadable, rows)
    if missing:
        return {"result": None, "missing": missing}
    try:
        report = assessed(store, open_kept_plate(store, version.text, version.name), phase)
    except InputError as error:
        return {"result": None, "missing": [Missing(str(error))]}
    return {"by_phase": report.phases, **_result_values(report.result, version.name, phase)}


def _missing(unreadable: str, rows: list[RowShown]) -> list[Missing]:
    if unreadable:
        return [Missing("The text of this plate cannot be read as it stands.")]
    if not rows:
        return [Missing("No dish is on this plate yet.")]
    stop = [each for each in rows if each.trouble and not each.trouble.startswith("This dish was taken off")]
    return [Missing(f"{each.title}: {each.trouble}", *each.mend) for each in stop]


def _result_values(result: Assessment, name: str, phase: str) -> dict[str, Any]:
    loads = [result.loads[each] for each in COMPONENTS]
    words = allergen_lists()["eu"]
    found = stacks(result)
    link = {each: f"/plates/{name}/why/{each}?phase={phase}" for each in COMPONENTS}
    with using(result.figures):
        reach = stretch_words(stretch(result.parts, result.profile))
    return {
        "result": result,
        "dishes": [piece.dish for piece in found[0].pieces],
        "table": [_table_row(stack) for stack in found],
        "link": link,
        "bars": stacked_bars(result, "stack", link.__getitem__),
        "stretch": reach,
        "close": [each for each in result.foods if each.verdict in {Verdict.OVER, Verdict.TOO_CLOSE}],
        "unknown": [load for load in loads[: len(Group)] if load.unknown_foods or load.unknown_lines],
        "allergens": list(dict.fromkeys(words[key] for key in result.allergens)),
        "cautions": [each for each in result.findings if each.severity is Severity.CAUTION],
        "asks": [each for each in result.findings if each.severity is Severity.ASK],
        "notes": [each for each in result.findings if each.severity is Severity.NOTE],
    }


def _table_row(stack: Stack) -> TableRow:
    load, of = stack.load, f"{stack.load.limit.grams:g} g"
    if load.nothing_known:
        return TableRow(load, tuple(_cell(each) for each in stack.pieces), "unknown", f"unknown, of {of}")
    matters = not load.bounded and (load.unknown_g > 0 or load.unknown_lines)
    some = " and unknown" if matters else ""
    share = f"{load.share:.0%}".replace("%", " %") if load.share >= 0.01 or load.range.value == 0 else "under 1 %"
    return TableRow(
        load, tuple(_cell(each) for each in stack.pieces), f"{range_words(load.range)}{some}", f"{share} of {of}"
    )


def _cell(piece: Piece) -> str:
    """What one dish brings: grams, and whether some of it is unknown."""
    if piece.unknown:
        return f"{grams(piece.mean)} and unknown" if piece.mean > 0 else "unknown"
    return grams(piece.mean)
