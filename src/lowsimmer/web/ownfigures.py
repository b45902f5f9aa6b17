"""Own figures made ready for a page: rows, columns explained, and what they would change in foods and kept dishes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.foods import Estimate
from lowsimmer.domain.groups import component_label
from lowsimmer.domain.limits import Load
from lowsimmer.domain.lines import Dish, Plate
from lowsimmer.loads.assess import COMPONENTS, Assessment, assess_dish, assess_plate
from lowsimmer.loads.preview import GONE, CellChange, DishChange, preview
from lowsimmer.measuring.weigh import weigh
from lowsimmer.publishing.foods import signed_range
from lowsimmer.publishing.text import range_words
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.own import COLUMNS, REQUIRED, OwnFigure, OwnFigures
from lowsimmer.reference.table import OWN_SOURCE
from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import Store
from lowsimmer.web.kitchen import read_kept
from lowsimmer.web.pages.trail import evidence_word, food_address

MOST_LOOKED = 200  # kept dishes, and kept plates, that are looked through for the foods; the newest changes first
MOST_ASSESSED = 30  # of those, dishes and plates that are assessed before and after

_EXPLAINED = {
    "food": "the food, by its word in the catalogue (a food's page shows it)",
    "form": "the form, by its word in the catalogue: raw, dry, boiled-drained, canned-drained ...",
    "analyte": "fructan, gos (or raffinose and stachyose, verbascose with them), lactose, fructose with glucose, "
    "sorbitol, mannitol or other-polyol",
    "value": "grams; per 100 g of the food as its form says, unless basis says otherwise",
    "source": "where the figure comes from, in your words",
    "low": "the low end of its range, in the same unit; together with high",
    "high": "the high end of its range; or the limit of detection with qualifier nd, tr or <",
    "sd": "its standard deviation, where no range is given",
    "n": "the number of samples",
    "qualifier": "= measured (when empty), ~ about, < below, tr a trace, nd looked for and not found",
    "locator": "the page, table or report it stands in",
    "note": "anything worth knowing of it",
    "rank": "first (when empty): the catalogue's figures are set aside; beside: yours is pooled with them",
    "basis": "fresh (when empty), dry (with water), portion (with portion_g) or monosaccharide",
    "water": "g of water per 100 g of the food, for basis dry",
    "portion_g": "grams of the portion, for basis portion",
}
COLUMN_WORDS = tuple((name, name in REQUIRED, _EXPLAINED[name]) for name in COLUMNS)


@dataclass(frozen=True, slots=True)
class OwnRow:
    """One own figure as the cells of a table row; numbers in g per 100 g of the form."""

    line: int
    label: str
    address: str
    analyte: str
    value: str
    range: str
    n: str
    source: str
    place: str
    note: str
    rank: str


@dataclass(frozen=True, slots=True)
class CellRow:
    """One food and group before and after, with what became of the catalogue's figures."""

    label: str
    address: str
    group: str
    before: str
    after: str
    how: str


@dataclass(frozen=True, slots=True)
class DishRow:
    """One kept dish or plate before and after: the verdict, and (group, before, after) of the loads that change."""

    title: str
    address: str
    before: str
    after: str
    loads: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Changes:
    """What figures would change. `left` dishes and plates hold their foods too and were not worked out."""

    count: int
    cells: tuple[CellRow, ...]
    dishes: tuple[DishRow, ...]
    left: int
    whole: bool


def template_text() -> str:
    """An empty table: every column explained in comments, then the header and an example that is commented out."""
    about = [f"# {name}{' (needed)' if needed else ''}: {words}" for name, needed, words in COLUMN_WORDS]
    return "\n".join(["# Own figures, one a row.", *about, ",".join(COLUMNS), f"# {example()}", ""])


def example() -> str:
    """A row that can be used as it stands, in the order of the columns."""
    return "leek-white,raw,fructan,6.1,your laboratory,5.2,7.0,,4,=,report 12 page 3,,first,,,"


def own_rows(figures: OwnFigures) -> list[OwnRow]:
    """The figures as rows, in the order of the file."""
    return [_own_row(each) for each in figures.rows]


def _own_row(each: OwnFigure) -> OwnRow:
    seen = each.observation
    bounds = f"{seen.low:.4g} to {seen.high:.4g}" if seen.low is not None and seen.high is not None else ""
    limit = f"limit {seen.high:.4g}" if seen.low is None and seen.high is not None else ""
    spread = f"sd {seen.sd:.3g}" if seen.sd is not None else ""
    sign = {"<": "below ", "~": "about ", "nd": "not found, ", "tr": "a trace, "}.get(seen.qualifier, "")
    return OwnRow(
        line=each.line,
        label=foods()[seen.key].label,
        address=food_address(seen.key, place=each.group.value),
        analyte=seen.analyte,
        value=f"{sign}{seen.value:.4g}",
        range=bounds or limit or spread or "not given",
        n=str(seen.n) if seen.n is not None else "not given",
        source=seen.pedigree.source.removeprefix(OWN_SOURCE),
        place=seen.pedigree.locator,
        note=seen.pedigree.note,
        rank="first" if each.first else "beside",
    )


def changes_of(store: Store, figures: OwnFigures, instead: OwnFigures | None) -> Changes:
    """What figures would change against those in use: in the catalogue, and in kept dishes and plates."""
    concerned = figures.foods | (instead.foods if instead else {})
    found = dict(_holding(store, set(concerned)))
    chosen = list(found)[:MOST_ASSESSED]
    seen = preview(figures, chosen, lambda address: _assessed(found[address]), instead)
    kept = store.count(DocumentKind.DISH), store.count(DocumentKind.PLATE)
    return Changes(
        count=len(figures.rows),
        cells=tuple(map(_cell_row, seen.cells)),
        dishes=tuple(map(_dish_row, seen.dishes)),
        left=len(found) - len(chosen),
        whole=max(kept) <= MOST_LOOKED,
    )


def _holding(store: Store, wanted: set[str]) -> Iterator[tuple[str, Dish | Plate]]:
    """Address -> dish or plate, for those kept that hold one of the foods; what cannot be read yet is passed over."""
    for kind, room in ((DocumentKind.DISH, "dishes"), (DocumentKind.PLATE, "plates")):
        for document in store.list(kind, count=MOST_LOOKED):
            try:
                given = read_kept(store, kind, store.head(kind, document.name).text)
            except InputError:
                continue
            if _foods_of(given) & wanted:
                yield f"/{room}/{document.name}", given


def _foods_of(given: Dish | Plate) -> set[str]:
    dishes = [given] if isinstance(given, Dish) else [each.dish for each in given.portions]
    return {item.key.food for dish in dishes for item in weigh(dish).items if item.key}


def _assessed(given: Dish | Plate) -> Assessment:
    return assess_dish(given) if isinstance(given, Dish) else assess_plate(given)


def _cell_row(change: CellChange) -> CellRow:
    return CellRow(
        label=change.food.label,
        address=food_address(change.food.key, place=change.group.value),
        group=change.group.label,
        before=_content(change.before),
        after=_content(change.after),
        how=_how(change),
    )


def _content(estimate: Estimate | None) -> str:
    if estimate is None:
        return "unknown"
    return f"{'0' if estimate.known_zero else signed_range(estimate)}, {evidence_word(estimate).removeprefix('zero, ')}"


def _how(change: CellChange) -> str:
    """What becomes of the catalogue's figures, in words."""
    if change.rank == GONE:
        return "your figure goes out of use"
    if change.rank == "beside":
        return f"pooled with {change.pooled} of the catalogue" if change.pooled else "none to pool with: stands alone"
    aside = f"; {change.set_aside} of the catalogue set aside" if change.set_aside else ""
    return ("ranks first" if change.rank == "first" else "derived from a form with own figures") + aside


def _dish_row(change: DishChange) -> DishRow:
    before, after = change.before, change.after
    pairs = [(component_label(name), _load(before.loads[name]), _load(after.loads[name])) for name in COMPONENTS]
    moved = tuple(each for each in pairs if each[1] != each[2])
    return DishRow(after.title, change.file, before.verdict.value, after.verdict.value, moved)


def _load(load: Load) -> str:
    return f"{'unknown' if load.nothing_known else range_words(load.range) + ' g'}, {load.verdict.value}"
