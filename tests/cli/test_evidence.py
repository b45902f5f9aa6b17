"""The verbs about evidence: forest plots, missing figures, sources, what was set aside, what bounds an unknown."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from lowsimmer.domain.groups import Group
from lowsimmer.publishing.forest import MOST_FOODS
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import ceiling, composition
from lowsimmer.reference.evidence import cell, source_uses
from lowsimmer.reference.table import rows, sources
from tests.cli.helpers import files_under, run

GAPPY = next(key for key in foods() if None in composition(key).values() and ", " not in foods()[key].label)
DISH = """---
title: Two things
serves: 2
---
## Ingredients
- 100 g black pepper
- 200 g moonfruit jelly
- 50 g garlic
"""
GAP_KEYS = {"food", "form", "label", "group", "depend", "files", "grams", "ceiling", "could_add"}
SOURCE_KEYS = {"source", "citation", "doi", "kind", "voice", "note", "used", "set_aside"}


@pytest.fixture
def gappy(kitchen: Path) -> Path:
    """The kitchen with a dish that holds a food without a figure, and a meal of it."""
    (kitchen / "two.md").write_text(DISH, encoding="utf-8")
    (kitchen / "both.yaml").write_text("dishes:\n  - file: two.md\n  - file: salad.md\n", encoding="utf-8")
    return kitchen


def test_foods_figures_draws_every_figure(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, "foods", "garlic", "--figures")
    assert (answer.status, answer.err) == (0, "")
    garlic = next(key for key in foods() if key == ("garlic", "raw"))
    for each in cell(garlic, Group.FRUCTAN).figures:
        assert each.pedigree.source in answer.out
    assert sum(line.endswith("]") and "   [" in line for line in answer.out.splitlines()) <= MOST_FOODS


def test_foods_figures_says_when_more_was_found(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, "foods", "onion", "--figures")
    assert "more found and not shown" in answer.out


def test_foods_figures_of_nothing_offers_near_names(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "foods", "garlicc", "--figures").out == run(capsys, "foods", "garlicc").out


def test_foods_svg_writes_pictures_and_names_them(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = run(capsys, "foods", "garlic", "raw", "--svg", "drawn/here", "--json").record()
    assert "garlic-raw-fructan.svg" in record["pictures"]
    assert set(record["pictures"]) == {path.name for path in (kitchen / "drawn" / "here").iterdir()}
    for name in record["pictures"]:
        ElementTree.parse(kitchen / "drawn" / "here" / name)
    words = run(capsys, "foods", "garlic", "raw", "--svg", "drawn/here").out
    assert "garlic-raw-fructan.svg" in words


def test_foods_without_svg_writes_nothing(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = files_under(kitchen)
    assert run(capsys, "foods", "garlic", "--json").record()["pictures"] == []
    run(capsys, "foods", "garlic", "--figures")
    assert files_under(kitchen) == before


def test_foods_gaps_ranks_by_files_then_grams(gappy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = run(capsys, "foods", "gaps", "two.md", "both.yaml", "salad.md", "two.md", "--json").record()
    assert record.keys() == {"files", "gaps", "unmatched"}
    assert record["files"] == ["two.md", "both.yaml", "salad.md"]
    assert all(gap.keys() == GAP_KEYS for gap in record["gaps"])
    ranks = [(-gap["depend"], -gap["grams"]) for gap in record["gaps"]]
    assert ranks == sorted(ranks)
    assert all(gap["depend"] == len(gap["files"]) for gap in record["gaps"])
    assert {(each["file"], each["line"]) for each in record["unmatched"]} == {
        ("two.md", "200 g moonfruit jelly"), ("both.yaml", "200 g moonfruit jelly"),
    }  # fmt: skip


def test_foods_gaps_lists_what_composition_lacks(gappy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = run(capsys, "foods", "gaps", "two.md", "--json").record()
    named = {(gap["food"], gap["form"], gap["group"]) for gap in record["gaps"]}
    held = [key for key in foods() if key in {("pepper-black", "ground"), ("garlic", "raw")}]
    for key in held:
        lacking = {(*key, group.value) for group, known in composition(key).items() if known is None}
        assert lacking <= named
    for gap in record["gaps"]:
        assert gap["grams"] == 50
        assert gap["could_add"] == pytest.approx(gap["grams"] * gap["ceiling"] / 100, rel=0.001)


def test_foods_gaps_in_words(gappy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, "foods", "gaps", "two.md", "both.yaml")
    assert answer.out.startswith("Figures missing in 2 dishes and meals\n")
    assert "  two.md: 200 g moonfruit jelly\n" in answer.out


def test_sources_lists_every_source_with_its_counts(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    records = run(capsys, "sources", "--json").record()
    assert {record["source"] for record in records} == set(sources())
    assert all(record.keys() == SOURCE_KEYS for record in records)
    counted = sum(record["used"] + record["set_aside"] for record in records)
    assert counted == len(rows("observations"))
    words = run(capsys, "sources").out
    assert all(f"\n{key}: " in words for key in sources())


def test_sources_key_gives_its_figures(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    key = max(source_uses(), key=lambda each: source_uses()[each].set_aside)
    record = run(capsys, "sources", key, "--json").record()
    assert record.keys() == SOURCE_KEYS | {"figures"}
    assert sum(each["decision"] == "used" for each in record["figures"]) == record["used"]
    assert len(record["figures"]) == record["used"] + record["set_aside"]
    assert all(isinstance(each["value"], float) for each in record["figures"])
    lines = run(capsys, "sources", key).out.splitlines()
    assert sum("; set-aside" in line for line in lines) == record["set_aside"]


def test_sources_with_a_misspelt_key_offers_near_ones(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, "sources", "muir207")
    assert answer.status == 2
    assert "muir2007" in answer.err


def test_why_shows_what_was_set_aside_and_what_bounds_an_unknown(
    gappy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for group in Group:
        record = run(capsys, "why", "two.md", group.value, "--json").record()
        words = run(capsys, "why", "two.md", group.value).out
        for origin in record["origins"]:
            assert (origin["ceiling"] is None) == (origin["content"] is not None or origin["food"] == "moonfruit jelly")
            for each in origin["set_aside"]:
                assert each["decision"] in words
                assert each["source"] in record["sources"]
            if origin["ceiling"] is not None:
                assert f"no figure; bounded by {origin['ceiling']:.3g} g per 100 g" in words


def test_a_cell_without_a_figure_carries_the_ceiling_of_the_computation() -> None:
    for group, known in composition(GAPPY).items():
        found = cell(GAPPY, group)
        assert found.bound == (ceiling(GAPPY, group) if known is None else None)
        assert bool(found.bound_from) == (known is None)


def test_no_figure_of_a_cell_is_lost() -> None:
    """Every row of the data files stands in the cell of its food and group, or in a sum that stands there."""
    key = next(key for key in foods() if key == ("apple", "raw"))
    shown = [each for group in Group for each in (*cell(key, group).figures, *cell(key, group).aside)]
    found = {(each.pedigree.source, each.pedigree.locator) for each in shown}
    for row in rows("observations"):
        if (row["food"], row["form"]) == key and row["decision"] != "used":
            assert (row["source"], row["locator"]) in found
