"""One cell of the catalogue made ready for a page: its content in words, its forest plot, every figure as a row."""

from __future__ import annotations

import re
from dataclasses import dataclass

from lowsimmer.domain.foods import Estimate, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.domain.masses import Factor, Grams
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.publishing.foods import signed_range
from lowsimmer.publishing.forest import forest_picture
from lowsimmer.publishing.inline import inline
from lowsimmer.publishing.text import range_words
from lowsimmer.reference.evidence import Cell
from lowsimmer.reference.table import OWN_SOURCE, sources
from lowsimmer.web.pages.trail import known_words, source_address

AS_WRITTEN = "the line"  # the source of what the cook wrote
_NAMED_LAST = re.compile(r"\(([^()]+)\)$")
_SIGNS = {"<": "below ", "~": "about ", "tr": "a trace, "}


@dataclass(frozen=True, slots=True)
class SourceLink:
    """A source in words, its page ('' without one), the place in it, and how what comes from it is known."""

    words: str
    address: str
    place: str
    known: str
    note: str


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure as the cells of a table row. `of` names another form or a part, where the figure is one of those."""

    of: str
    value: str
    range: str
    n: str
    source: SourceLink
    decision: str


@dataclass(frozen=True, slots=True)
class FactorRow:
    """One factor of a weight."""

    words: str
    range: str
    source: SourceLink


@dataclass(frozen=True, slots=True)
class CellView:
    """One food, form and group as a page shows it.

    `rule` is the source of a zero or of a factor between forms; `picture` is empty where there is nothing to draw.
    """

    cell: Cell
    content: str
    known: str
    reason: str
    rule: SourceLink | None
    picture: str
    used: tuple[FigureRow, ...]
    aside: tuple[FigureRow, ...]

    @property
    def group(self) -> Group:
        """The group."""
        return self.cell.group


def cell_view(of: Cell, prefix: str, back: str = "") -> CellView:
    """A cell for a page; `prefix` begins the ids of its picture, `back` is the page that its links lead back to."""
    return CellView(
        cell=of,
        content=content_of(of),
        known=_known(of.estimate) if of.estimate else "",
        reason=of.estimate.reason if of.estimate else of.bound_from,
        rule=_rule(of.estimate, back),
        picture=inline(forest_picture(of), prefix) if of.figures else "",
        used=tuple(_row(of, each, back) for each in of.figures if each.used),
        aside=tuple(_row(of, each, back) for each in of.set_aside),
    )


def _known(estimate: Estimate) -> str:
    """How the content is known; where better known figures stand beside recalled ones, both are said."""
    words = known_words(estimate.grade)
    used = [each for each in estimate.behind if each.used]
    recalled = sum(each.pedigree.evidence is Evidence.MEMORY for each in used)
    if not recalled or estimate.grade is Evidence.MEMORY:
        return words
    return f"{words}; {recalled} of {len(used)} figures {Evidence.MEMORY.mark}"


def content_of(of: Cell) -> str:
    """The content with its range, in words; what nobody has a figure for is unknown, with its bound."""
    if of.estimate is None:
        return f"unknown, at the most {of.bound:.3g} g per 100 g" if of.bound is not None else "unknown"
    if of.estimate.known_zero:
        return "0 g per 100 g"
    balance = ", glucose in excess" if of.estimate.value < 0 else ""
    return f"{signed_range(of.estimate)} g per 100 g{balance}"


def _rule(estimate: Estimate | None, back: str) -> SourceLink | None:
    """The source of a zero, or of the step from another form (named at the end of the reason)."""
    if estimate is None:
        return None
    named = _NAMED_LAST.search(estimate.reason)
    key = estimate.source or (named[1] if named else "")
    return SourceLink(key, source_address(key, back), "", "", "") if key in sources() else None


def _row(of: Cell, figure: Observation, back: str) -> FigureRow:
    form = figure.key.form if figure.key.form != of.key.form else ""
    part = figure.analyte if figure in of.aside else ""
    return FigureRow(
        of=", ".join(filter(None, (part, form))),
        value=_value(figure),
        range=_range(figure),
        n=str(figure.n) if figure.n is not None else "not given",
        source=source_link(figure.pedigree, back, figure.key.food),
        decision="used" if figure.used else figure.decision.removeprefix("set-aside").lstrip(": ") or "no reason given",
    )


def _value(figure: Observation) -> str:
    if figure.qualifier == "nd":
        return "not found"
    return f"{_SIGNS.get(figure.qualifier, '')}{figure.value:.4g}"


def _range(figure: Observation) -> str:
    if figure.qualifier in {"nd", "tr", "<"}:
        return f"limit {figure.high:.4g}" if figure.high is not None else "no limit given"
    if figure.low is not None and figure.high is not None:
        return f"{figure.low:.4g} to {figure.high:.4g}"
    return f"sd {figure.sd:.3g}" if figure.sd is not None else "not given"


def source_link(pedigree: Pedigree, back: str = "", words: str = "") -> SourceLink:
    """Where a number comes from, with the way there."""
    if pedigree.source == AS_WRITTEN:
        return SourceLink("the line as written", "", pedigree.locator, "as written", pedigree.note)
    key = pedigree.source
    shown = f"own figure: {key.removeprefix(OWN_SOURCE)}" if key.startswith(OWN_SOURCE) else key
    address = source_address(key, back, words)
    return SourceLink(shown, address, pedigree.locator, known_words(pedigree.evidence), pedigree.note)


def factor_rows(grams: Grams, back: str = "") -> list[FactorRow]:
    """The factors that a weight is made of, in the order of the sum."""
    return [_factor(each, back) for term in grams.terms for each in term]


def _factor(factor: Factor, back: str) -> FactorRow:
    bounds = "exact" if factor.range.exact else range_words(factor.range)
    return FactorRow(factor.words, bounds, source_link(factor.pedigree, back))
