"""The practitioner's own figures: a CSV of observations, read strictly, and used only where somebody says so.

One figure a row. Columns `food`, `form` (keys of the catalogue), `analyte`, `value` and `source` must be there;
`low`, `high`, `sd`, `n`, `qualifier`, `locator`, `note`, `rank`, `basis`, `water` and `portion_g` may. Comment lines
('#') may stand in front. A row that cannot be used stops the whole file: half a table is no table.

`rank` says what becomes of the catalogue's figures for that food, form and group: `first` (when empty) sets them
aside, `beside` pools with them. `basis` says what the figure is per: `fresh` (when empty), `dry` (with `water`),
`portion` (with `portion_g`) or `monosaccharide` (see `bases`).

`using` puts figures in use for the code that runs within it, in this thread or task and nowhere else.
"""

from __future__ import annotations

import csv
import difflib
import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cached_property, partial

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.foods import FoodKey, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.reference.bases import HEXOSES, from_dry, from_equivalents, from_portion
from lowsimmer.reference.catalogue import foods, forms
from lowsimmer.reference.phrases import normal
from lowsimmer.reference.table import OWN_SOURCE, rows

REQUIRED = ("food", "form", "analyte", "value", "source")
OPTIONAL = ("low", "high", "sd", "n", "qualifier", "locator", "note", "rank", "basis", "water", "portion_g")
COLUMNS = (*REQUIRED, *OPTIONAL)
GROUP_OF = {
    "fructan": Group.FRUCTAN,
    "gos": Group.GOS,
    "raffinose": Group.GOS,
    "stachyose": Group.GOS,
    "verbascose": Group.GOS,
    "lactose": Group.LACTOSE,
    "fructose": Group.EXCESS_FRUCTOSE,
    "glucose": Group.EXCESS_FRUCTOSE,
    "sorbitol": Group.SORBITOL,
    "mannitol": Group.MANNITOL,
    "other-polyol": Group.OTHER_POLYOLS,
}
QUALIFIERS = ("=", "~", "<", "tr", "nd")
RANKS = ("first", "beside")
BASES = ("fresh", "dry", "portion", "monosaccharide")
MOST_ROWS = 5000
LONGEST = 300  # characters of a text cell
HINTED = 10  # broken rows for which near foods are looked for, which takes 10 ms each
SHOWN = 60  # characters of a wrong cell in a message
_PARTNERS = {"fructose": "glucose", "glucose": "fructose", "verbascose": "raffinose", "raffinose": "stachyose",
             "stachyose": "raffinose"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class OwnFigure:
    """One row: the observation (converted to g per 100 g fresh), whether it ranks first, its line in the file."""

    observation: Observation
    first: bool
    line: int

    @property
    def group(self) -> Group:
        """The group it bears on; raffinose bears on GOS, glucose on excess fructose."""
        return GROUP_OF[self.observation.analyte]


@dataclass(frozen=True, eq=False)
class OwnFigures:
    """The figures of one file. Each reading is a thing of its own, equal to itself alone, so caches can tell them."""

    name: str
    rows: tuple[OwnFigure, ...]

    @cached_property
    def foods(self) -> dict[str, None]:
        """The foods that the figures are about, in the order of the file."""
        return dict.fromkeys(each.observation.key.food for each in self.rows)

    @cached_property
    def ruling(self) -> frozenset[tuple[FoodKey, Group]]:
        """The cells with a figure that ranks first: what the catalogue has for them is set aside."""
        return frozenset((each.observation.key, each.group) for each in self.rows if each.first)

    @cached_property
    def _cells(self) -> frozenset[tuple[FoodKey, Group]]:
        return frozenset((each.observation.key, each.group) for each in self.rows)

    def rank(self, key: FoodKey, group: Group) -> str:
        """How the figures for one food, form and group rank: first if one of them does, beside, or '' for none."""
        if (key, group) in self.ruling:
            return "first"
        return "beside" if (key, group) in self._cells else ""


_IN_USE: ContextVar[OwnFigures | None] = ContextVar("own figures in use", default=None)


@contextmanager
def using(figures: OwnFigures | None) -> Iterator[None]:
    """These figures rule within; None is the catalogue alone. An inner `using` replaces an outer one."""
    token = _IN_USE.set(figures)
    try:
        yield
    finally:
        _IN_USE.reset(token)


def in_use() -> OwnFigures | None:
    """The figures in use here, None for the catalogue alone."""
    return _IN_USE.get()


def bearing_on(food: str) -> OwnFigures | None:
    """The figures in use if they hold any of this food, in whatever form, for forms are derived from each other."""
    figures = in_use()
    return figures if figures is not None and food in figures.foods else None


class _CellError(Exception):
    """One cell that cannot be used: its column, what was given, what was expected."""

    def __init__(self, column: str, given: str, expected: str) -> None:
        super().__init__(column, given, expected)
        self.column, self.given, self.expected = column, given, expected


@dataclass(frozen=True, slots=True)
class Broken:
    """One row that cannot be used: its line in the file, the column, what was given, what was expected, near foods."""

    line: int
    column: str
    given: str
    expected: str
    near: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The same as one sentence, without the name of the file."""
        given = f"'{self.given[:SHOWN]}'" if self.given else "nothing"
        hint = f" (near: {', '.join(self.near)})" if self.near else ""
        return f"line {self.line}, column {self.column}: given {given}, expected {self.expected}{hint}."


class BrokenFiguresError(InputError):
    """A table with rows that cannot be used; the sentence tells the first in full, `rows` holds them all."""

    def __init__(self, name: str, rows: Sequence[Broken]) -> None:
        lines = [str(each.line) for each in rows]
        named = ", ".join(lines[:10]) + (" and more" if len(lines) > 10 else "")
        count = f" {len(rows)} rows are broken in all, on lines {named}." if len(rows) > 1 else ""
        step = "No figure of the file was used; correct it and try again."
        super().__init__(f"'{name}', {rows[0].sentence}{count}", step)
        self.rows = tuple(rows)


def read_own(text: str, name: str) -> OwnFigures:
    """The figures of a CSV text; `name` is its file. Raises BrokenFiguresError with every row that is broken.

    A text that is no such table at all raises InputError.
    """
    columns, table = _table(text, name)
    good: list[OwnFigure] = []
    broken: list[tuple[int, _CellError]] = []
    for line, row in table:
        try:
            good.append(_figure(line, _cells(columns, row)))
        except _CellError as error:
            broken.append((line, error))
    broken = broken or list(_misfits(good))
    if broken:
        told = [_broken(line, error, hint=place < HINTED) for place, (line, error) in enumerate(broken)]
        raise BrokenFiguresError(name, told)
    return OwnFigures(name, tuple(good))


def _broken(line: int, error: _CellError, hint: bool) -> Broken:
    near = _near_foods(error.given) if hint and error.column == "food" and error.given else ()
    return Broken(line, error.column, error.given, error.expected, near)


def _near_foods(given: str) -> tuple[str, ...]:
    """Keys of foods that a word may have meant: those called so, those that hold it, those spelt nearly so."""
    phrase = normal(given)
    called = [row["food"] for row in rows("names") if normal(row["name"]) == phrase]
    holding = [food for food in forms() if f" {phrase} " in f" {normal(food)} "]
    spelt = difflib.get_close_matches(phrase.replace(" ", "-"), forms(), n=4, cutoff=0.6)
    return tuple(dict.fromkeys([*called, *holding, *spelt]))[:4]


def _cells(columns: list[str], row: list[str]) -> dict[str, str]:
    """Column -> cell; _CellError for a row that is longer or shorter than the header."""
    if len(row) > len(columns):
        raise _CellError(columns[-1], row[len(columns)], "nothing behind it; text with a comma stands in quotes")
    if len(row) < len(columns):
        raise _CellError(columns[len(row)], "", f"{len(columns)} cells, one for each column; the row has {len(row)}")
    return dict(zip(columns, row, strict=True))


def _table(text: str, name: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The columns, and every row with its line, cells stripped; rows without text and comments are passed over."""
    lines = text.splitlines(keepends=True)
    head = next((place for place, line in enumerate(lines) if not line.startswith("#")), len(lines))
    reader = csv.reader(lines[head:], strict=True)
    try:
        stripped = ((head + reader.line_num, [cell.strip() for cell in row]) for row in reader)
        table = [(line, row) for line, row in stripped if any(row) and not row[0].startswith("#")]
    except csv.Error as error:
        where = f"'{name}', line {head + reader.line_num}"
        raise InputError(f"{where} is not CSV: {error}.", "Check the quotes.") from error
    if not table:
        raise InputError(f"'{name}' is empty.", f"Give a header row ({','.join(REQUIRED)} ...) and one figure a row.")
    columns = table[0][1]
    _check_columns(columns, name, table[0][0])
    if not 1 < len(table) <= MOST_ROWS + 1:
        raise InputError(f"'{name}' holds {len(table) - 1} figures.", f"Give one figure a row, from 1 to {MOST_ROWS}.")
    return columns, table[1:]


def _check_columns(columns: list[str], name: str, line: int) -> None:
    where = f"'{name}', line {line}"
    if len(columns) == 1 and any(mark in columns[0] for mark in ";\t"):
        raise InputError(f"{where}: the columns are not parted by commas.", "Save the table as comma-separated CSV.")
    for column in columns:
        if column not in COLUMNS:
            raise InputError(
                f"{where}: given a column '{column[:SHOWN]}', expected only {', '.join(COLUMNS)}.",
                "Correct the name or leave the column out.",
            )
        if columns.count(column) > 1:
            raise InputError(f"{where}: given the column '{column}' twice, expected it once.", "Leave one out.")
    missing = [column for column in REQUIRED if column not in columns]
    if missing:
        raise InputError(f"{where}: no column '{missing[0]}', expected {', '.join(REQUIRED)}.", "Add the column.")


def _figure(line: int, cells: dict[str, str]) -> OwnFigure:
    """One row as an observation; _CellError at the first cell that cannot be used."""
    key = _key(cells)
    analyte = _word(cells, "analyte", tuple(GROUP_OF))
    qualifier = _word(cells, "qualifier", QUALIFIERS, "=")
    first = _word(cells, "rank", RANKS, "first") == "first"
    convert, basis = _basis(cells, analyte)
    value, low, high, sd = _amounts(cells, qualifier, convert)
    source = OWN_SOURCE + _text(cells, "source", needed=True).removeprefix(OWN_SOURCE)
    note = "; ".join(filter(None, (basis, _text(cells, "note"))))
    pedigree = Pedigree(source, Evidence.OWN, _text(cells, "locator"), note)
    seen = Observation(key, analyte, value, low, high, sd, _count(cells), qualifier, pedigree, "used")
    return OwnFigure(seen, first, line)


def _key(cells: dict[str, str]) -> FoodKey:
    food, form = cells["food"], cells["form"]
    if food not in forms():
        raise _CellError("food", food, "the key of a food in the catalogue, as 'foods' shows it")
    if FoodKey(food, form) not in foods():
        raise _CellError("form", form, f"a form that {food} has: {', '.join(forms()[food])}")
    return FoodKey(food, form)


def _word(cells: dict[str, str], column: str, known: Sequence[str], default: str = "") -> str:
    given = cells.get(column) or default
    if given not in known:
        raise _CellError(column, given, f"one of {', '.join(known)}")
    return given


def _text(cells: dict[str, str], column: str, needed: bool = False) -> str:
    given = " ".join(cells.get(column, "").split())
    if needed and not given:
        raise _CellError(column, "", "where the figure comes from, in your words")
    if len(given) > LONGEST or not given.isprintable():
        raise _CellError(column, ascii(given)[1:-1], f"plain text of at most {LONGEST} characters")
    return given


def _number(cells: dict[str, str], column: str, unit: str = "grams") -> float | None:
    """A cell as a number from 0 on; None when it is empty."""
    given = cells.get(column, "")
    if not given:
        return None
    try:
        number = math.nan if "_" in given else float(given)
    except ValueError:
        number = math.nan
    if not 0 <= number < math.inf:
        raise _CellError(column, given, f"{unit} as a number from 0 on, with a point before the decimals")
    return number


def _count(cells: dict[str, str]) -> int | None:
    number = _number(cells, "n", "a count")
    if number is not None and (number < 1 or number != int(number)):
        raise _CellError("n", cells["n"], "the number of samples, a whole number from 1 on")
    return None if number is None else int(number)


def _basis(cells: dict[str, str], analyte: str) -> tuple[Callable[[float], float], str]:
    """What makes g per 100 g fresh of the figure, and the words for it; water and weight stand only where needed."""
    basis = _word(cells, "basis", BASES, "fresh")
    water, portion = _number(cells, "water", "g per 100 g"), _number(cells, "portion_g")
    for column, given, wanted in (("water", water, "dry"), ("portion_g", portion, "portion")):
        if given is not None and basis != wanted:
            raise _CellError(column, cells[column], f"nothing, or '{wanted}' in the column basis")
    stated = cells["value"] or "0"
    if basis == "dry":
        if water is None or water >= 100:
            raise _CellError("water", cells.get("water", ""), "the water of the food, from 0 to below 100 g per 100 g")
        return partial(from_dry, water=water), f"given {stated} g per 100 g dry matter, water {water:g} g"
    if basis == "portion":
        if not portion:
            raise _CellError("portion_g", cells.get("portion_g", ""), "the grams of the portion, more than 0")
        return partial(from_portion, portion_g=portion), f"given {stated} g per portion of {portion:g} g"
    if basis == "monosaccharide":
        if analyte not in HEXOSES:
            raise _CellError("basis", basis, f"another basis: {analyte} is not one sugar with a known factor")
        return partial(from_equivalents, hexoses=HEXOSES[analyte]), f"given {stated} g as monosaccharide"
    return float, ""


def _amounts(
    cells: dict[str, str], qualifier: str, convert: Callable[[float], float]
) -> tuple[float, float | None, float | None, float | None]:
    """value, low, high and sd in g per 100 g fresh, in order."""
    value, low, high, sd = (_number(cells, column) for column in ("value", "low", "high", "sd"))
    if value is None and qualifier != "nd":
        raise _CellError("value", "", "grams; for 'not detected' write 0 with qualifier nd and the limit in high")
    value = value or 0.0
    if qualifier == "nd" and value:
        raise _CellError("value", cells["value"], "0 beside qualifier nd; the limit of detection stands in high")
    _check_order(cells, qualifier, value, low, high)
    for column, number in (("value", value), ("high", high), ("sd", sd)):
        if number is not None and convert(number) > 100:
            raise _CellError(
                column, cells[column], f"at most 100 g per 100 g of the food; this is {convert(number):.4g}"
            )
    return (
        convert(value),
        None if low is None else convert(low),
        None if high is None else convert(high),
        None if sd is None else convert(sd),
    )


def _check_order(cells: dict[str, str], qualifier: str, value: float, low: float | None, high: float | None) -> None:
    if low is not None and low > value:
        raise _CellError("low", cells["low"], f"at most the value {value:g}")
    if high is not None and high < value:
        raise _CellError("high", cells["high"], f"at least the value {value:g}")
    if qualifier in {"=", "~"} and (low is None) != (high is None):
        column = "high" if high is None else "low"
        raise _CellError(column, "", "both low and high, or neither")


def _place(each: OwnFigure) -> tuple[FoodKey, str, str]:
    seen = each.observation
    return seen.key, seen.pedigree.source, seen.pedigree.locator


def _misfits(figures: Sequence[OwnFigure]) -> Iterator[tuple[int, _CellError]]:
    """Rows that contradict others: given twice, GOS beside its own parts, one half of a pair without the other."""
    places: dict[tuple[FoodKey, str, str], list[OwnFigure]] = {}
    for each in figures:
        places.setdefault(_place(each), []).append(each)
    for group in places.values():
        lines: dict[str, int] = {}
        for each in group:
            analyte = each.observation.analyte
            if analyte in lines:
                words = f"one figure of {each.observation.key} a source and locator; line {lines[analyte]} has it"
                yield each.line, _CellError("analyte", analyte, words)
            lines.setdefault(analyte, each.line)
        yield from _incomplete(lines)


def _incomplete(lines: dict[str, int]) -> Iterator[tuple[int, _CellError]]:
    """What one place gives of one food (analyte -> line) and cannot be used as it stands."""
    for analyte, line in lines.items():
        partner = _PARTNERS.get(analyte, analyte)
        if partner not in lines:
            group = GROUP_OF[analyte].label
            words = f"a row for {partner} too, with the same food, form, source and locator: {group} needs both"
            yield line, _CellError("analyte", analyte, words)
        elif "gos" in lines and analyte != "gos" and GROUP_OF[analyte] is Group.GOS:
            yield (
                line,
                _CellError("analyte", analyte, f"GOS (line {lines['gos']}) or its parts, not both: they add up"),
            )
