"""The composition of every food and form, group by group, with its pedigree.

What is looked for, in this order, cell by cell:

1. **observations** of that food and form, pooled (`pooling`); GOS is the sum of raffinose, stachyose and verbascose
   where a source gives the parts; excess fructose rests on the *balance*, fructose less glucose from one row pair;
2. a **zero of the food** itself (`zeros.csv`, food:KEY);
3. **derived** from another form of the food through a retained fraction and the change in weight (`derivations.csv`);
4. **zeros that are facts of its kind** (`zeros.csv`): no lactose outside milk, nothing in oil or salt;
5. otherwise **unknown**: None, never zero.

The practitioner's own figures, where they are in use (`own.using`), stand among the observations of step 1: ranking
first they set the catalogue's aside, ranking beside they are pooled with them. What is kept in memory is kept apart
for each set of figures in use.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from functools import cache, lru_cache

from lowsimmer.domain.foods import Estimate, Food, FoodKey, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.domain.ranges import Range
from lowsimmer.reference import own
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.pooling import pool
from lowsimmer.reference.table import number, rows

Composition = dict[Group, Estimate | None]

_ANALYTE = {
    "fructan": Group.FRUCTAN,
    "gos": Group.GOS,
    "lactose": Group.LACTOSE,
    "fructose-balance": Group.EXCESS_FRUCTOSE,
    "sorbitol": Group.SORBITOL,
    "mannitol": Group.MANNITOL,
    "other-polyol": Group.OTHER_POLYOLS,
}
ANALYTE_OF = {group: analyte for analyte, group in _ANALYTE.items()}
_GOS_PARTS = frozenset({"raffinose", "stachyose", "verbascose"})
_BALANCE_SCATTER = 0.1  # of the sugars' mean: both rise and fall together with ripeness (common practice, no source)
_GROUP_OF = _ANALYTE | own.GROUP_OF
KEPT = 8  # sets of own figures whose tables are kept in memory
SET_ASIDE = "set-aside: the practitioner's own figure ranks first"
_ROUNDING = 0.05  # g per 100 g: half the last digit of tables printed to one decimal

Cells = dict[tuple[FoodKey, str], list[Observation]]


def observations() -> Cells:
    """Every observation by food, form and analyte, sums and balances included; the practitioner's own if in use."""
    figures = own.in_use()
    return _catalogue() if figures is None else _with_own(figures)


@cache
def _catalogue() -> Cells:
    return _cells(map(_observation, rows("observations")))


def _cells(found: Iterable[Observation]) -> Cells:
    """Observations by cell, with the sums and balances that follow from them."""
    cells: Cells = defaultdict(list)
    for each in found:
        cells[each.key, each.analyte].append(each)
    for key in {key for key, _ in cells}:
        cells[key, "gos"] += _gos_sums(key, cells)
        cells[key, "fructose-balance"] += _balances(cells[key, "fructose"], cells[key, "glucose"])
    return dict(cells)


@lru_cache(maxsize=KEPT)
def _with_own(figures: own.OwnFigures) -> Cells:
    """The catalogue with own figures in their cells; a cell with one that ranks first has the rest set aside."""
    cells = dict(_catalogue())
    for cell, mine in _cells(each.observation for each in figures.rows).items():
        others = cells.get(cell, [])
        if (cell[0], _GROUP_OF[cell[1]]) in figures.ruling:
            others = [replace(each, decision=SET_ASIDE) if each.used else each for each in others]
        cells[cell] = [*mine, *others]
    return cells


def _observation(row: dict[str, str]) -> Observation:
    return Observation(
        key=FoodKey(row["food"], row["form"]),
        analyte=row["analyte"],
        value=float(row["value"]),
        low=number(row["low"]),
        high=number(row["high"]),
        sd=number(row["sd"]),
        n=int(float(row["n"])) if row["n"] else None,
        qualifier=row["qualifier"],
        pedigree=Pedigree(row["source"], _evidence(row), row["locator"], row["note"]),
        decision=row["decision"],
    )


def _evidence(row: dict[str, str]) -> Evidence:
    """A figure computed from read ones (source 'derived-formula') is derived, however well its inputs are known."""
    stated = Evidence(row["evidence"])
    return Evidence.DERIVED if row["source"] == "derived-formula" and stated is Evidence.SEEN else stated


def _place(each: Observation) -> tuple[str, str]:
    return each.pedigree.source, each.pedigree.locator


def _gos_sums(key: FoodKey, cells: Cells) -> list[Observation]:
    """One GOS figure for each place that gives raffinose, stachyose or verbascose (all it gives, added)."""
    parts: dict[tuple[str, str], list[Observation]] = defaultdict(list)
    for analyte in sorted(_GOS_PARTS):
        for each in cells.get((key, analyte), []):
            if each.used:
                parts[_place(each)].append(each)
    return [_summed(group) for group in parts.values()]


def _summed(group: list[Observation]) -> Observation:
    first = group[0]
    names = ", ".join(sorted(each.analyte for each in group))
    note = f"{names} of one source added"
    sd = None if any(each.sd is None for each in group) else sum((each.sd or 0) ** 2 for each in group) ** 0.5
    return replace(
        first,
        analyte="gos",
        value=sum(each.value for each in group),
        low=sum(each.value if each.low is None else each.low for each in group),
        high=sum(each.value if each.high is None else each.high for each in group),
        sd=sd,
        pedigree=replace(first.pedigree, note=note),
    )


def _balances(fructose: Iterable[Observation], glucose: Iterable[Observation]) -> list[Observation]:
    """Fructose less glucose for every place that gives both; its sd from theirs, or a tenth of the sugars."""
    partners = {_place(each): each for each in glucose if each.used}
    pairs = [(each, partners[_place(each)]) for each in fructose if each.used and _place(each) in partners]
    return [_balance(one, other) for one, other in pairs]


def _balance(fructose: Observation, glucose: Observation) -> Observation:
    if fructose.sd is not None and glucose.sd is not None:
        sd = (fructose.sd**2 + glucose.sd**2) ** 0.5
    else:
        sd = _BALANCE_SCATTER * (fructose.value + glucose.value) / 2
    value = round(fructose.value - glucose.value, 6)
    note = f"fructose {fructose.value:g} less glucose {glucose.value:g}"
    return replace(
        fructose, analyte="fructose-balance", value=value, low=None, high=None, sd=max(sd, _ROUNDING / 2),
        qualifier="=", pedigree=replace(fructose.pedigree, note=note),
    )  # fmt: skip


def composition(key: FoodKey) -> Composition:
    """Every group of one food and form: an estimate, or None where nobody has a figure.

    The practitioner's own figures count where they are in use. Raises KeyError for a food and form that are not in
    the catalogue.
    """
    return _composition(key, own.bearing_on(key.food))


@lru_cache(maxsize=20_000)
def _composition(key: FoodKey, figures: own.OwnFigures | None) -> Composition:
    """Kept by the figures that bear on the food: a food that they do not touch is the same with and without."""
    kind = foods()[key].kind
    with own.using(figures):
        return {group: _estimate(key, analyte, kind) for analyte, group in _ANALYTE.items()}


def _estimate(key: FoodKey, analyte: str, kind: str) -> Estimate | None:
    of_food = _known(key, analyte, kind, ())
    of_kind = _zero(zeros().get((kind, analyte)), key, analyte)
    return _tighter(of_food, of_kind)


def _tighter(of_food: Estimate | None, of_kind: Estimate | None) -> Estimate | None:
    """The food's figure; where that found nothing, the tighter of its bound and that of its kind.

    What the practitioner measured stands as it is, for it ranks before rules.
    """
    if of_food is None or of_kind is None or of_food.grade is Evidence.OWN:
        return of_food or of_kind
    if of_kind.known_zero and of_food.value <= 0:
        return of_kind
    if of_food.value != 0 or of_food.low < 0:
        return of_food
    return replace(of_food, high=min(of_food.high, of_kind.high))


def _known(key: FoodKey, analyte: str, kind: str, tried: tuple[str, ...]) -> Estimate | None:
    """From figures of this food: measured, a zero of its own, or derived from another form.

    `tried` are the forms on the way here, so that two forms never lean on each other.
    """
    found = pool(observations().get((key, analyte), []), signed=analyte == "fructose-balance")
    of_food = zeros().get((f"food:{key.food}", analyte))
    return found or _zero(of_food, key, analyte) or _derived(key, analyte, kind, (*tried, key.form))


def _derived(key: FoodKey, analyte: str, kind: str, tried: tuple[str, ...]) -> Estimate | None:
    """From another form of the same food: content x factor, the food's own row before its shelf's."""
    for row in (
        *derivations().get((f"food:{key.food}", key.form), ()),
        *derivations().get((kind, key.form), ()),
    ):
        origin = FoodKey(key.food, row["from_form"])
        if origin not in foods() or origin.form in tried or analyte not in row["analytes"].split("|"):
            continue
        base = _known(origin, analyte, kind, tried)
        if base is not None:
            factor = Range(float(row["factor"]), float(row["low"]), float(row["high"]))
            return _scaled(base, factor, f"derived from {origin}: {row['reason']} ({row['source']})")
    return None


def _scaled(base: Estimate, factor: Range, reason: str) -> Estimate:
    """The estimate times a range; the relative reaches of both add in quadrature, as independent errors do."""
    value = min(100.0, base.value * factor.value)
    if value > 0:
        low = value / _reach(base.value / base.low, factor.value / factor.low) if base.low > 0 < factor.low else 0.0
        high = value * _reach(base.high / base.value, factor.high / factor.value)
        low = low if base.low >= 0 else base.low * factor.value
    else:
        low = base.low * factor.value
        high = base.high * (factor.high if base.high > 0 and base.value == 0 else factor.value)
    grade = Evidence.MEMORY if base.grade is Evidence.MEMORY else Evidence.DERIVED
    return Estimate(value, min(low, value), min(100.0, max(high, value)), grade, reason, base.behind)


def _reach(one: float, other: float) -> float:
    """Two relative reaches, each at least 1, as one: quadrature of their logarithms."""
    return math.exp(math.hypot(math.log(one), math.log(other)))


@cache
def derivations() -> dict[tuple[str, str], tuple[dict[str, str], ...]]:
    """The rows of derivations.csv by what they apply to (kind or 'food:KEY') and the form they make, in order."""
    made: dict[tuple[str, str], list[dict[str, str]]] = defaultdict(list)
    for row in rows("derivations.csv"):
        for shelf in row["applies_to"].split("|"):
            made[shelf, row["to_form"]].append(row)
    return {cell: tuple(each) for cell, each in made.items()}


def _zero(row: dict[str, str] | None, key: FoodKey, analyte: str) -> Estimate | None:
    """The zero of a row; None without one, or where the food itself is marked as unknown ('?')."""
    if row is None or zeros().get((f"food:{key.food}", analyte), row)["high"] == "?":
        return None
    high = number(row["high"]) or 0.0
    grade = Evidence.MEMORY if row["evidence"] == "memory" and high else Evidence.RULE
    return Estimate(0.0, 0.0, high, grade, row["reason"], source=row["source"])


@cache
def zeros() -> dict[tuple[str, str], dict[str, str]]:
    """The zeros that are facts, by kind (or 'food:KEY') and analyte."""
    return {
        (shelf, analyte): row
        for row in rows("zeros.csv")
        for shelf in row["applies_to"].split("|")
        for analyte in row["analytes"].split("|")
    }


@lru_cache(maxsize=KEPT)
def ceilings(figures: own.OwnFigures | None = None) -> dict[tuple[str, Group], float]:
    """The highest content (upper bound, g per 100 g) known on each shelf (kind) and in each plant family.

    It bounds what an unknown can add. A family speaks from three of its foods with a figure of their own on, a shelf
    from five foods with any figure; fewer say nothing about the next food. `figures`
    are the practitioner's own that count too; None is the catalogue alone.
    """
    found: dict[tuple[str, Group], dict[str, float]] = defaultdict(dict)
    with own.using(figures):
        contents = {key: composition(key) for key in foods()}
    for key, food in foods().items():
        for group, estimate in contents[key].items():
            if estimate is None:
                continue
            _note_highest(found[food.kind, group], key.food, estimate.high)
            if estimate.behind and food.family:
                _note_highest(found[_family(food), group], key.food, estimate.high)
    return {cell: max(highs.values()) for cell, highs in found.items() if len(highs) >= _enough(cell[0])}


def _enough(shelf: str) -> int:
    return 3 if shelf.startswith("family ") else 5


def _note_highest(highs: dict[str, float], food: str, high: float) -> None:
    highs[food] = max(high, highs.get(food, 0.0))


def ceiling(key: FoodKey, group: Group) -> float:
    """The bound for one unknown cell, g per 100 g: the higher of its family's and its shelf's; 100 without either."""
    food = foods()[key]
    bounds = [ceilings(own.in_use()).get((shelf, group)) for shelf in (_family(food), food.kind)]
    known = max((bound for bound in bounds if bound is not None), default=100.0)
    return min(known, watery().get(food.kind, 100.0))


def _family(food: Food) -> str:
    """The family of a food, dry goods apart from fresh: garlic powder says nothing of a leek."""
    return f"family {food.family}, {'dry' if food.key.form in _DRY else 'fresh'}"


_DRY = frozenset({"dry", "dried", "powder", "flour", "roasted", "toasted", "fried"})


@cache
def watery() -> dict[str, float]:
    """Kinds that are mostly water -> the carbohydrate they can hold at most, g per 100 g (ceilings.csv)."""
    return {row["kind"]: float(row["high"]) for row in rows("ceilings.csv")}
