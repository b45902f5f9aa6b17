"""The forest plot of a made-up cell, in words and as a picture: changes of the data do not touch these tests."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest

from lowsimmer.domain.foods import Estimate, FoodKey, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.domain.pedigree import Evidence, Pedigree
from lowsimmer.publishing.forest import PLOT, axis_of, decision_words, figure_words, forest_picture, forest_text
from lowsimmer.publishing.picture import Scale
from lowsimmer.reference.evidence import Cell

KEY = FoodKey("moonfruit", "boiled")
SVG = "{http://www.w3.org/2000/svg}"


def figure(source: str, value: float, low: float | None = None, high: float | None = None, **more: Any) -> Observation:
    """One made-up figure, read in its source and used unless something else is said."""
    pedigree = Pedigree(source, more.pop("evidence", Evidence.SEEN), "table 1")
    plain = Observation(KEY, "fructan", value, low, high, None, None, "=", pedigree, "used")
    return replace(plain, **more)


ESTIMATE = Estimate(2.0, 1.0, 4.0, Evidence.SEEN, "median of 3 sources")
FIGURES = (
    figure("alpha2001", 2.0, 1.5, 2.5),
    figure("beta2002", 3.0, evidence=Evidence.MEMORY),
    figure("gamma2003", 0.0, high=0.5, qualifier="nd", key=FoodKey("moonfruit", "raw")),
    figure("delta2004", 40.0, 30.0, 50.0, decision="set-aside: printed per dry matter"),
)
ASIDE = (figure("epsilon2005", 1.2, decision="set-aside: no glucose", analyte="fructose"),)
CELL = Cell(KEY, "Moonfruit, boiled", Group.FRUCTAN, ESTIMATE, FIGURES, ASIDE)
UNKNOWN = Cell(KEY, "Moonfruit, boiled", Group.FRUCTAN, None, (), ASIDE, 5.0, "highest known on its shelf")


def test_one_row_a_figure_and_the_estimate_last() -> None:
    expected = """
  fructan, g per 100 g
                   0                                       15
  alpha2001        |    -o-                                 |  2 (1.5 to 2.5); used
  beta2002         |        o                               |  3; used [recalled, not re-read]
  gamma2003 (raw)  |o-                                      |  not found, limit 0.5; used
  delta2004        |                                       >|  40 (30 to 50); set aside: printed per dry matter
  epsilon2005      |                                        |  fructose 1.2; set aside: no glucose
  estimate         |  ===#=====                             |  2.00 (1.00 to 4.00); median of 3 sources
"""
    assert forest_text(CELL) == expected.removeprefix("\n")


def test_every_row_of_the_plot_is_as_wide() -> None:
    rows = [line for line in forest_text(CELL).splitlines() if "|" in line]
    assert len(rows) == len(FIGURES) + len(ASIDE) + 1
    assert {(line.index("|"), line.rindex("|")) for line in rows} == {(19, 19 + PLOT + 1)}


def test_used_and_set_aside_differ_without_colour() -> None:
    wide = replace(CELL, figures=(figure("a", 2, 1, 3), figure("b", 2, 1, 3, decision="set-aside: twice")))
    rows = [line.split("|")[1] for line in forest_text(wide).splitlines() if "|" in line]
    used, aside, last = rows[0], rows[1], rows[-1]
    assert set(used) == set(" -o")
    assert set(aside) == set(" .x")
    assert set(last) == set(" =#")


def test_an_unknown_shows_what_bounds_it() -> None:
    last = forest_text(UNKNOWN).splitlines()[-1]
    assert last.endswith("no figure; bounded by 5 g per 100 g (highest known on its shelf)")
    assert last.split("|")[1].strip() == ""


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (figure("a", 2, 1, 3), "2 (1 to 3)"),
        (figure("a", 2, sd=0.25), "2 (sd 0.25)"),
        (figure("a", 2), "2"),
        (figure("a", 0.4, qualifier="<"), "below 0.4"),
        (figure("a", 0, high=0.4, qualifier="nd"), "not found, limit 0.4"),
        (figure("a", 0, qualifier="nd"), "not found"),
        (figure("a", 0.1, high=0.4, qualifier="tr"), "a trace, limit 0.4"),
    ],
)
def test_a_figure_in_words(given: Observation, words: str) -> None:
    assert figure_words(given) == words


def test_a_decision_always_has_its_reason() -> None:
    assert decision_words(figure("a", 1)) == "used"
    assert decision_words(figure("a", 1, decision="set-aside: twice")) == "set aside: twice"
    assert decision_words(figure("a", 1, evidence=Evidence.DERIVED)) == "used [derived]"


def test_the_axis_has_round_ends_and_zero() -> None:
    assert axis_of(CELL) == Scale(0.0, 15.0, PLOT)
    balance = replace(CELL, estimate=Estimate(-1.0, -1.7, 0.2, Evidence.SEEN, "one source"), figures=())
    assert (axis_of(balance).low, axis_of(balance).high) == (-2.0, 0.2)
    nothing = replace(CELL, estimate=Estimate(0.0, 0.0, 0.0, Evidence.RULE, "a fact"), figures=())
    assert (axis_of(nothing).low, axis_of(nothing).high) == (0.0, 1.0)


def test_figures_that_were_all_set_aside_are_drawn_to_their_own_scale() -> None:
    lonely = replace(UNKNOWN, figures=(FIGURES[-1],))
    assert axis_of(lonely).high == 50
    assert "x" in forest_text(lonely).splitlines()[2].split("|")[1]


def test_without_anything_to_draw_there_is_no_axis() -> None:
    assert [line for line in forest_text(UNKNOWN).splitlines()[1:] if line and "|" not in line] == []


def test_a_number_stands_in_proportion_on_a_scale() -> None:
    scale = Scale(-1.0, 3.0, 100.0)
    assert [scale.at(each) for each in (-2, -1, 0, 1, 3, 9)] == [0, 0, 25, 50, 100, 100]
    assert scale.beyond(3.1)
    assert scale.before(-1.1)
    assert not scale.beyond(3.0)


@pytest.mark.parametrize("of", [CELL, UNKNOWN, replace(UNKNOWN, figures=FIGURES)], ids=["cell", "unknown", "no pool"])
def test_the_picture_is_well_formed_and_tells_screen_readers_all(of: Cell) -> None:
    root = ElementTree.fromstring(forest_picture(replace(of, label="Moonfruit & <co>")))
    assert root.tag == f"{SVG}svg"
    title, told = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert told is not None
    assert title.text == "Moonfruit & <co>: fructan, g per 100 g, by source"
    assert root.get("aria-labelledby") == f"{title.get('id')} {told.get('id')}"
    for each in of.figures:
        assert each.pedigree.source in (told.text or "")
        assert figure_words(each) in (told.text or "")
    assert "estimate" in (told.text or "")


def test_the_picture_uses_greys_only() -> None:
    picture = forest_picture(CELL)
    assert "url(#hatch)" in picture
    for code in re.findall(r"#[0-9a-f]{6}\b", picture):
        parts = [int(code[place : place + 2], 16) for place in (1, 3, 5)]
        assert max(parts) - min(parts) <= 24, f"{code} is a colour"


def test_a_long_reason_is_cut_beside_the_plot_and_whole_in_the_row() -> None:
    reason = "because " * 30
    picture = forest_picture(replace(CELL, figures=(figure("a", 1, decision=f"set-aside: {reason}"),)))
    root = ElementTree.fromstring(picture)
    assert any(reason.strip() in (each.text or "") for each in root.iter(f"{SVG}title"))
    assert max(len(each.text or "") for each in root.iter(f"{SVG}text")) < 130
