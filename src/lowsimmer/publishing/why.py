"""A load taken apart, for people and for scripts."""

from __future__ import annotations

from typing import Any

from lowsimmer.domain.foods import Observation
from lowsimmer.domain.groups import component_label
from lowsimmer.loads.why import Explained, Origin
from lowsimmer.publishing.foods import bound_words, estimate_record, figure_record, signed_range
from lowsimmer.publishing.records import load_record, range_record, rounded
from lowsimmer.publishing.text import range_words
from lowsimmer.reference.evidence import Cell
from lowsimmer.reference.table import sources


def why_record(explained: Explained) -> dict[str, Any]:
    """title, group, load, origins (line, weight and factors, content and figures), lines that add nothing, sources."""
    return {
        "title": explained.title,
        "group": explained.load.component,
        "load": load_record(explained.load),
        "origins": [_origin_record(each) for each in explained.origins],
        "nothing_in": list(explained.nothing),
        "sources": {key: sources()[key]["citation"] for key in _cited(explained)},
    }


def _origin_record(origin: Origin) -> dict[str, Any]:
    return {
        "line": origin.line,
        "group": origin.group.value,
        "food": origin.food,
        "dish": origin.dish,
        "grams": range_record(origin.weight),
        "share_eaten": rounded(origin.share_eaten),
        "weight_from": [
            {"factor": factor.words, **(range_record(factor.range) or {}), "source": factor.pedigree.words()}
            for term in (origin.grams.terms if origin.grams else ())
            for factor in term
        ],
        "content": estimate_record(origin.estimate),
        "set_aside": [figure_record(each) for each in origin.cell.set_aside] if origin.cell else [],
        "ceiling": rounded(origin.cell.bound) if origin.cell and origin.cell.bound is not None else None,
        "load": range_record(origin.load),
    }


def _cited(explained: Explained) -> list[str]:
    """The sources of all figures that are shown, set aside or not, so that either can be looked up."""
    cells = [origin.cell for origin in explained.origins if origin.cell]
    keys = {figure.pedigree.source for each in cells for figure in (*each.figures, *each.aside)}
    keys |= {each.estimate.source for each in cells if each.estimate and each.estimate.source}
    return sorted(keys & sources().keys())


def why_text(explained: Explained) -> str:
    """The load, then each line from grams down to the published figures, then the sources in full."""
    load = explained.load
    lines = [
        f"{explained.title}: {component_label(load.component)} per serving",
        f"{range_words(load.range)} g, limit {load.limit.grams:g} g: {load.verdict.value}",
        f"limit from {load.limit.pedigree.words()}"
        + (f": {load.limit.pedigree.note}" if load.limit.pedigree.note else ""),
        "",
    ]
    for origin in explained.origins:
        lines += _origin_lines(origin)
    if explained.nothing:
        lines += [f"Nothing in: {', '.join(explained.nothing)}", ""]
    cited = _cited(explained)
    lines += ["Sources:", *(f"  {key}: {sources()[key]['citation']}" for key in cited)] if cited else []
    return "\n".join(lines).rstrip() + "\n"


def _origin_lines(origin: Origin) -> list[str]:
    load = f"{range_words(origin.load)} g" if origin.load else "unknown"
    lines = [f"{origin.line}", f"  {origin.food}: {load} {origin.group.label}"]
    if origin.weight and origin.grams:
        about = f" ({origin.share_range.low:.3g} to {origin.share_range.high:.3g})" if origin.share_range else ""
        eaten = f"({origin.grams.words()}) x {origin.share_eaten:.3g}{about} eaten"
        lines.append(f"  weight   {range_words(origin.weight)} g = {eaten}")
        lines += [
            f"           {f.words}: {f.pedigree.words()}"
            for term in origin.grams.terms
            for f in term
            if not f.range.exact
        ]
    lines += _content_lines(origin.cell)
    return [*lines, ""]


def _content_lines(of: Cell | None) -> list[str]:
    """The content with every figure that was found for it: used ones first, then those set aside, with the reason."""
    if of is None:
        return ["  content  no figure"]
    figures = [f"           {_form(of, each)}{_figure_line(each)}" for each in of.figures]
    figures += [f"           {each.analyte} {_figure_line(each)}" for each in of.aside]
    if of.estimate is None:
        return [f"  content  {bound_words(of)}", *figures]
    mark = f" [{of.estimate.grade.mark}]" if of.estimate.grade.mark else ""
    return [f"  content  {signed_range(of.estimate)} g per 100 g: {of.estimate.reason}{mark}", *figures]


def _form(of: Cell, figure: Observation) -> str:
    """The form that a figure is of, where that is another one: the content was derived from it."""
    return f"{figure.key.form}: " if figure.key.form != of.key.form else ""


def _figure_line(figure: Observation) -> str:
    bounds = f" ({figure.low:g} to {figure.high:g})" if figure.low is not None and figure.high is not None else ""
    decision = "" if figure.used else f"; {figure.decision}"
    return f"{figure.value:g}{bounds} {figure.pedigree.words()}{decision}"
