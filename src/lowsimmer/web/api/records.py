"""The answers as they are described to scripts. Tests hold what is answered against them, key by key.

The records themselves come from the room `publishing`, and are those of the command line; docs/commands.md says what
every key means. Grams are g, contents g per 100 g; null is unknown, never zero.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

VerdictWord = Literal["within limit", "over limit", "too close to call", "not enough data"]


class Record(BaseModel):
    """An answer with these keys and no others."""

    model_config = ConfigDict(extra="forbid")


class Trouble(Record):
    """Why a request was refused, and what to do about it."""

    error: str
    next_step: str


class DocumentKept(Record):
    """A dish or plate on the bench; `version` is the number of its newest one. Times are UTC."""

    kind: Literal["dish", "plate"]
    name: str
    title: str
    version: int
    made_at: str
    changed_at: str
    removed_at: str | None


class DocumentWithText(DocumentKept):
    """A dish or plate with the text of its newest version."""

    text: str


class DocumentList(Record):
    """Some of the documents that were asked for, and how many there are in all."""

    count: int
    start: int
    documents: list[DocumentKept]


class VersionKept(Record):
    """One version; `base` is the one it was made from (0: none), `restores` the one whose text it brought back."""

    number: int
    base: int
    at: str
    how: str
    writer: str
    restores: int | None


class VersionWithText(VersionKept):
    """One version with its text."""

    text: str


class VersionList(Record):
    """Some of the versions of a document, the newest first, and how many there are in all."""

    count: int
    start: int
    versions: list[VersionKept]


class SavedChange(Record):
    """What became of a change.

    `number` is the version that came of it, `mine` the one that holds exactly what was sent. `merged`: somebody else
    had been faster, and both changes stand in `number`; `doubled` are the lines that both had changed.
    """

    number: int
    mine: int
    merged: bool
    doubled: list[str]
    document: DocumentWithText


class Walked(Record):
    """The document after an undo or redo; `moved` is false when there was nothing to undo or redo."""

    moved: bool
    document: DocumentWithText


class LineDifference(Record):
    """One line that was added, removed or changed; `old` and `new` are empty where there is no such line."""

    kind: Literal["added", "removed", "changed"]
    old: str
    new: str


class StoreCheck(Record):
    """What is wrong with the store, in words."""

    sound: bool
    trouble: list[str]


class FindingRecord(Record):
    """Something to know or to answer about a line or the whole."""

    kind: str
    severity: Literal["caution", "ask", "note"]
    sentence: str
    where: str
    next_step: str
    choices: list[str]


class Figure(Record):
    """A figure with its range."""

    value: float
    low: float
    high: float


class StatedAmount(Figure):
    """An amount with its unit."""

    unit: str


class LineReading(Record):
    """One food of an ingredient line."""

    line: str
    amount: Figure | None
    unit: str
    size: str
    pack: StatedAmount | None
    also: StatedAmount | None
    food: str | None
    form: str | None
    label: str | None
    name: str
    preparation: str
    notes: list[str]
    optional: bool
    component: str
    grams: Figure | None
    grams_from: str | None
    findings: list[FindingRecord]


class LineRecord(LineReading):
    """An ingredient line as read, with the other readings of a choice and the other foods of a pair."""

    alternatives: list[LineReading]
    together: list[LineReading]


class MaybeFigure(Record):
    """A figure with its range; all null when nothing is known."""

    value: float | None
    low: float | None
    high: float | None


class Driver(Figure):
    """One line's part in a load."""

    line: str
    food: str
    share: float


class LoadRecord(MaybeFigure):
    """One group or sum: grams, limit, share of it, verdict, what is unknown, what drives it."""

    limit: float
    limit_source: str
    share: float | None
    traces_g: float
    below_limit_in: float
    verdict: VerdictWord
    unknown_g: float
    unknown_foods: list[str]
    unknown_lines: list[str]
    unknown_bounded: bool
    drivers: list[Driver]


class FoodLoadRecord(Figure):
    """One food against one published cut-off."""

    food: str
    grams: Figure
    component: str
    limit: float
    verdict: VerdictWord


class LargestServing(Record):
    """The largest multiple of this serving that fits."""

    servings: float | None
    grams: float | None
    unlimited: bool
    stopped_by: str | None
    reason: str
    unknown_foods: list[str]


class PhaseRecord(Record):
    """One phase in words, with its figures."""

    verdict: VerdictWord
    largest_serving: LargestServing
    leave_out: list[str]
    words: str


class Nutrient(Record):
    """One nutrient of a serving."""

    amount: float | None
    unit: str
    unknown_g: float
    unweighed_lines: int
    stand_in_g: float
    sources: list[str]


class AssessmentRecord(Record):
    """The whole assessment of a dish or a plate."""

    title: str
    servings: float | None
    profile: str
    serving_g: Figure
    unweighed: list[str]
    groups: dict[str, LoadRecord]
    sums: dict[str, LoadRecord]
    plate_excess_fructose_offset: Figure | None
    foods: list[FoodLoadRecord]
    verdict: VerdictWord
    largest_serving: LargestServing
    phases: dict[str, PhaseRecord]
    allergens: list[str]
    allergens_listed: dict[str, list[str]]
    nutrition: dict[str, Nutrient]
    findings: list[FindingRecord]


class PublishedFigure(Record):
    """One published figure: the numbers, where they stand, how they are known and what was decided about them."""

    form: str
    value: float
    low: float | None
    high: float | None
    qualifier: str
    source: str
    locator: str
    evidence: str
    decision: str
    note: str


class EstimateRecord(Figure):
    """A content in g per 100 g and the figures behind it."""

    grade: str
    reason: str
    source: str | None
    figures: list[PublishedFigure]


class WeightFactor(Figure):
    """One factor of a weight."""

    factor: str
    source: str


class OriginRecord(Record):
    """One line's part in a load, from grams down to the published figures."""

    line: str
    group: str
    food: str
    dish: str
    grams: Figure | None
    share_eaten: float
    weight_from: list[WeightFactor]
    content: EstimateRecord | None
    set_aside: list[PublishedFigure]
    ceiling: float | None
    load: Figure | None


class WhyRecord(Record):
    """One group taken apart; `sources` are citations by key."""

    title: str
    group: str
    load: LoadRecord
    origins: list[OriginRecord]
    nothing_in: list[str]
    sources: dict[str, str]


class RetailPackage(Record):
    """An ordinary retail package: what the shop calls it, grams of the food in it, common sizes."""

    package: str
    grams: float
    low: float
    high: float
    region: str | None
    evidence: str
    note: str


class FoodRecord(Record):
    """One food in one form."""

    food: str
    form: str
    label: str
    kind: str
    limit_class: str
    family: str
    allergens: list[str]
    check_label: str
    packages: list[RetailPackage]
    g_per_100g: dict[str, EstimateRecord | None]


class FoodsFound(Record):
    """The foods that a search found, or near names."""

    words: str
    foods: list[FoodRecord]
    near: list[str]


class SourceRecord(Record):
    """One source and how many of its figures are used or set aside."""

    source: str
    citation: str
    doi: str | None
    kind: str
    voice: str
    note: str
    used: int
    set_aside: int


class SourceFigure(Record):
    """One figure as the data files hold it."""

    food: str
    form: str
    analyte: str
    value: float | None
    low: float | None
    high: float | None
    qualifier: str
    locator: str
    evidence: str
    decision: str
    note: str


class SourceWithFigures(SourceRecord):
    """One source with every figure that was taken from it."""

    figures: list[SourceFigure]


class FiguresKept(Record):
    """The own figures in use as CSV, how many there are, and the number of their version (null: never any)."""

    text: str
    rows: int
    version: int | None


class PreviewContent(Figure):
    """A content in g per 100 g with its grade."""

    grade: str


class CellChanged(Record):
    """One food, form and group before and after."""

    food: str
    form: str
    label: str
    group: str
    rank: str
    set_aside: int
    pooled: int
    before: PreviewContent | None
    after: PreviewContent | None


class VerdictChanged(Record):
    """A verdict before and after."""

    before: VerdictWord
    after: VerdictWord


class JudgedLoad(MaybeFigure):
    """A load with its verdict."""

    verdict: VerdictWord


class LoadChanged(Record):
    """A load before and after."""

    before: JudgedLoad
    after: JudgedLoad


class DishChanged(Record):
    """One dish or plate before and after; `file` is its name."""

    file: str
    title: str
    profile: str
    verdict: VerdictChanged
    loads: dict[str, LoadChanged]


class FiguresPreview(Record):
    """What own figures would change."""

    file: str
    rows: int
    cells: list[CellChanged]
    dishes: list[DishChanged]
