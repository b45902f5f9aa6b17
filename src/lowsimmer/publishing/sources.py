"""Sources with what was taken from them, for people and for scripts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lowsimmer.domain.pedigree import Evidence
from lowsimmer.reference.evidence import SourceUse
from lowsimmer.reference.table import number

_KEPT = ("food", "form", "analyte", "value", "low", "high", "qualifier", "locator", "evidence", "decision", "note")
_NUMBERS = {"value", "low", "high"}
_SIGNS = {"<": "below ", "nd": "not found, ", "tr": "trace, "}


def source_record(use: SourceUse) -> dict[str, Any]:
    """One source: key, citation, doi, kind, voice, note, and how many of its figures are used or set aside."""
    return {
        "source": use.key,
        "citation": use.row["citation"],
        "doi": use.row["doi"] or None,
        "kind": use.row["kind"],
        "voice": use.row["voice"],
        "note": use.row["note"],
        "used": use.used,
        "set_aside": use.set_aside,
    }


def source_with_figures(use: SourceUse) -> dict[str, Any]:
    """One source with every figure that was taken from it."""
    figures = [
        {name: number(row[name]) if name in _NUMBERS else row[name] for name in _KEPT}  # as the data files hold them
        for row in use.figures
    ]
    return {**source_record(use), "figures": figures}


def sources_text(uses: Iterable[SourceUse]) -> str:
    """Every source, a block each, after a line that counts them."""
    listed = list(uses)
    used, aside = sum(each.used for each in listed), sum(each.set_aside for each in listed)
    head = f"{len(listed)} sources; {used} figures of composition used, {aside} set aside.\n"
    return "\n".join([head, *("\n".join(_head_lines(each)) + "\n" for each in listed)])


def source_text(use: SourceUse) -> str:
    """One source with its figures: used ones first, then those set aside with the reason."""
    figures = sorted(use.figures, key=lambda row: row["decision"] != "used")
    lines = [*_head_lines(use), "", *(f"  {_figure_line(row)}" for row in figures)]
    return "\n".join(lines).rstrip() + "\n"


def _head_lines(use: SourceUse) -> list[str]:
    row = use.row
    voice = f"; speaks with the voice of {row['voice']}" if row["voice"] not in {"", use.key} else ""
    lines = [f"{use.key}: {_counted(use)}", f"  {row['citation']}"]
    lines += [f"  doi {row['doi']}"] if row["doi"] else []
    lines += [f"  {row['kind']}{voice}"] if row["kind"] or voice else []
    return [*lines, f"  note: {row['note']}"] if row["note"] else lines


def _counted(use: SourceUse) -> str:
    if not use.figures:
        return "no figures of composition"
    return f"{use.used} figures used, {use.set_aside} set aside"


def _figure_line(row: dict[str, str]) -> str:
    bounds = f" ({row['low']} to {row['high']})" if row["low"] and row["high"] else ""
    sign = _SIGNS.get(row["qualifier"], "")
    mark = f" [{Evidence(row['evidence']).mark}]" if Evidence(row["evidence"]).mark else ""
    decision = "" if row["decision"] == "used" else f"; {row['decision']}"
    figure = f"{row['food']} ({row['form']}), {row['analyte']}: {sign}{row['value']}{bounds}"
    return f"{figure}, {row['locator']}{mark}{decision}"
