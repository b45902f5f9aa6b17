"""The practitioner's own figures: read strictly, ranked as asked, in use only where somebody says so."""

from __future__ import annotations

import csv
import threading

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.foods import Estimate, FoodKey, Observation
from lowsimmer.domain.groups import Group
from lowsimmer.domain.lines import Dish
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.loads.report import report
from lowsimmer.loads.why import explain
from lowsimmer.reference.catalogue import foods
from lowsimmer.reference.composition import SET_ASIDE, ceiling, ceilings, composition, observations
from lowsimmer.reference.own import OwnFigures, in_use, read_own, using
from lowsimmer.reference.table import sources
from tests.strategies import read

HEADER = "food,form,analyte,value,low,high,sd,n,qualifier,source,locator,note,rank,basis,water,portion_g"
GARLIC = FoodKey("garlic", "raw")
TOMATO = FoodKey("tomato", "raw")
CHICKPEA = FoodKey("chickpea", "canned-drained")


def table(*rows: str, header: str = HEADER) -> str:
    """A file of these rows; missing cells at the end are empty."""
    width = len(header.split(","))
    return "\n".join([header, *(row + "," * (width - len(next(csv.reader([row])))) for row in rows)]) + "\n"


def own(*rows: str) -> OwnFigures:
    """The figures of these rows."""
    return read_own(table(*rows), "own.csv")


def only(figures: OwnFigures) -> Observation:
    """The one observation of a file."""
    assert len(figures.rows) == 1
    return figures.rows[0].observation


def cell(key: FoodKey, group: Group, figures: OwnFigures | None) -> Estimate:
    """The estimate of one cell with these figures in use."""
    with using(figures):
        found = composition(key)[group]
    assert found is not None
    return found


def refused(text: str) -> str:
    """The sentence with which a text is refused."""
    with pytest.raises(InputError) as caught:
        read_own(text, "own.csv")
    return str(caught.value)


# -- reading


def test_a_row_is_an_observation_with_own_pedigree() -> None:
    seen = only(own("garlic,raw,fructan,14,12,16,1.5,6,~,Our laboratory,report 7,spring crop"))
    assert (seen.key, seen.analyte) == (GARLIC, "fructan")
    assert (seen.value, seen.low, seen.high, seen.sd, seen.n) == (14, 12, 16, 1.5, 6)
    assert (seen.qualifier, seen.used) == ("~", True)
    assert seen.pedigree.source == "own: Our laboratory"
    assert seen.pedigree.evidence is Evidence.OWN
    assert (seen.pedigree.locator, seen.pedigree.note) == ("report 7", "spring crop")


def test_comments_marks_blank_rows_and_quotes() -> None:
    text = '# ours, "not yours\n#\nfood,form,analyte,value,source\n\n# later\ngarlic,raw,fructan,14,"Lab, north"\n'
    figures = read_own(text.replace("\n", "\r\n"), "own.csv")
    assert only(figures).pedigree.source == "own: Lab, north"
    assert figures.rows[0].line == 6


def test_what_is_not_stated_has_its_usual_meaning() -> None:
    figures = read_own("food,form,analyte,value,source\ngarlic,raw,fructan,14,Lab\n", "own.csv")
    seen = only(figures)
    assert figures.rows[0].first
    assert (seen.qualifier, seen.low, seen.high, seen.sd, seen.n) == ("=", None, None, None, None)


@pytest.mark.parametrize(
    ("row", "value", "low", "high", "sd"),
    [
        ("garlic,raw,fructan,50,40,60,10,,,Lab,,,,dry,63", 18.5, 14.8, 22.2, 3.7),
        ("garlic,raw,fructan,0.5,0.4,0.6,0.1,,,Lab,,,,portion,,4", 12.5, 10, 15, 2.5),
        ("milk-cow-whole,fluid,lactose,5.0526,,,,,,Lab,,,,monosaccharide", 4.8, None, None, None),
        ("garlic,raw,fructan,,,0.5,,,nd,Lab,,,,dry,60", 0, None, 0.2, None),
    ],
)
def test_bases(row: str, value: float, low: float | None, high: float | None, sd: float | None) -> None:
    seen = only(own(row))
    for found, expected in ((seen.value, value), (seen.low, low), (seen.high, high), (seen.sd, sd)):
        assert found == (None if expected is None else pytest.approx(expected, rel=1e-4))
    assert seen.pedigree.note.startswith("given ")


BROKEN = {
    "onion,raw,fructan,2,,,,,,Lab": ("column food", "given 'onion'", "near: onion-"),
    "gralic,raw,fructan,2,,,,,,Lab": ("column food", "near: garlic"),
    ",raw,fructan,2,,,,,,Lab": ("column food", "given nothing"),
    "garlic,stewed,fructan,2,,,,,,Lab": ("column form", "given 'stewed'", "a form that garlic has: raw"),
    "garlic,raw,starch,2,,,,,,Lab": ("column analyte", "given 'starch'", "one of fructan, gos"),
    "garlic,raw,fructan,-2,,,,,,Lab": ("column value", "given '-2'", "from 0 on"),
    "garlic,raw,fructan,,,,,,,Lab": ("column value", "given nothing", "qualifier nd"),
    "garlic,raw,fructan,101,,,,,,Lab": ("column value", "given '101'", "at most 100 g"),
    'garlic,raw,fructan,"1,5",,,,,,Lab': ("column value", "given '1,5'", "point before the decimals"),
    "garlic,raw,fructan,nan,,,,,,Lab": ("column value", "given 'nan'"),
    "garlic,raw,fructan,1e999,,,,,,Lab": ("column value", "given '1e999'"),
    "garlic,raw,fructan,1_0,,,,,,Lab": ("column value", "given '1_0'"),
    "garlic,raw,fructan,2,3,4,,,,Lab": ("column low", "given '3'", "at most the value 2"),
    "garlic,raw,fructan,2,1,1.5,,,,Lab": ("column high", "given '1.5'", "at least the value 2"),
    "garlic,raw,fructan,2,1,,,,,Lab": ("column high", "given nothing", "both low and high"),
    "garlic,raw,fructan,20,10,120,,,,Lab": ("column high", "given '120'", "at most 100 g"),
    "garlic,raw,fructan,2,,,-1,,,Lab": ("column sd", "given '-1'"),
    "garlic,raw,fructan,2,,,,1.5,,Lab": ("column n", "given '1.5'", "whole number"),
    "garlic,raw,fructan,2,,,,0,,Lab": ("column n", "given '0'"),
    "garlic,raw,fructan,2,,,,,?,Lab": ("column qualifier", "given '?'", "one of =, ~"),
    "garlic,raw,fructan,2,,,,,nd,Lab": ("column value", "given '2'", "0 beside qualifier nd"),
    "garlic,raw,fructan,2,,,,,,": ("column source", "given nothing", "in your words"),
    "garlic,raw,fructan,2,,,,,,Lab\x1b[31m": ("column source", "plain text"),
    "garlic,raw,fructan,2,,,,,,Lab,,,last": ("column rank", "given 'last'", "one of first, beside"),
    "garlic,raw,fructan,2,,,,,,Lab,,,,wet": ("column basis", "given 'wet'", "fresh, dry, portion"),
    "garlic,raw,fructan,2,,,,,,Lab,,,,dry": ("column water", "given nothing"),
    "garlic,raw,fructan,2,,,,,,Lab,,,,dry,100": ("column water", "given '100'"),
    "garlic,raw,fructan,2,,,,,,Lab,,,,fresh,60": ("column water", "'dry' in the column basis"),
    "garlic,raw,fructan,2,,,,,,Lab,,,,portion": ("column portion_g", "given nothing"),
    "garlic,raw,fructan,2,,,,,,Lab,,,,portion,,0": ("column portion_g", "given '0'"),
    "garlic,raw,fructan,5,,,,,,Lab,,,,portion,,4": ("column value", "this is 125"),
    "garlic,raw,fructan,5,,,,,,Lab,,,,monosaccharide": ("column basis", "not one sugar"),
    "tomato,raw,fructose,2,,,,,,Lab": ("column analyte", "a row for glucose too"),
    "chickpea,canned-drained,raffinose,1,,,,,,Lab": ("column analyte", "a row for stachyose too"),
}


@pytest.mark.parametrize("row", list(BROKEN))
def test_a_broken_row_is_named_with_line_column_given_and_expected(row: str) -> None:
    sentence = refused(table(row))
    for words in ("'own.csv', line 2, ", "given ", "expected ", *BROKEN[row]):
        assert words in sentence
    assert "\n" not in sentence
    assert sentence.isprintable()


def test_all_broken_rows_are_counted_and_the_first_is_shown() -> None:
    good, bad = "garlic,raw,fructan,2,,,,,,Lab", "garlic,raw,fructan,-2,,,,,,Lab"
    sentence = refused(table(good, bad, good, bad.replace("-2", "-3"), bad))
    assert "line 3" in sentence
    assert "'-2'" in sentence
    assert "'-3'" not in sentence
    assert "3 rows are broken in all, on lines 3, 5, 6." in sentence


def test_a_figure_given_twice_is_refused() -> None:
    row = "garlic,raw,fructan,2,,,,,,Lab,p. 1"
    assert "line 2 has it" in refused(table(row, row))
    assert len(own(row, row.replace("p. 1", "p. 2")).rows) == 2


def test_gos_beside_its_parts_is_refused() -> None:
    rows = [f"chickpea,canned-drained,{analyte},1,,,,,,Lab" for analyte in ("gos", "raffinose", "stachyose")]
    assert "they add up" in refused(table(*rows))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("# only a comment\n", "is empty"),
        (HEADER + "\n", "holds 0 figures"),
        (table(*["garlic,raw,fructan,2,,,,,,Lab"] * 5001), "holds 5001 figures"),
        ("food;form;analyte;value;source\n", "not parted by commas"),
        ("food,form,analyte,value\n", "no column 'source'"),
        ("food,form,analyte,value,source,colour\n", "a column 'colour'"),
        ("food,form,analyte,value,source,value\n", "'value' twice"),
        ("food,form,analyte,value,source\ngarlic,raw,fructan,2\n", "column source: given nothing, expected 5 cells"),
        ("food,form,analyte,value,source\ngarlic,raw,fructan,1,5,Lab\n", "source: given 'Lab', expected nothing"),
        ('food,form,analyte,value,source\ngarlic,raw,fructan,2,"Lab\n', "is not CSV"),
        ("food,form,analyte,value,source\ngarlic,raw,fructan,2," + "n" * 200_000 + "\n", "is not CSV"),
    ],
)
def test_a_file_that_is_no_table(text: str, words: str) -> None:
    assert words in refused(text)


@settings(deadline=None)
@given(st.text(max_size=200))
def test_no_text_does_more_than_be_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_own(text, "own.csv")


@settings(deadline=None)
@given(st.lists(st.text('0123456789.,-+eE_ naif"', max_size=8), min_size=6, max_size=6))
def test_no_cell_does_more_than_be_refused(cells: list[str]) -> None:
    row = ",".join(["garlic", "raw", "fructan", *(f'"{each.replace(chr(34), "")}"' for each in cells), "Lab"])
    try:
        figures = read_own(table(row), "own.csv")
    except InputError:
        return
    seen = only(figures)
    assert 0 <= (seen.low or 0) <= seen.value <= (100 if seen.high is None else seen.high) <= 100


# -- sources


def test_an_own_source_speaks_with_a_voice_of_its_own() -> None:
    key = "own: Our laboratory"
    assert sources()[key]["voice"] == key
    assert "Our laboratory" in sources()[key]["citation"]
    assert key in sources()
    assert key not in list(sources())
    assert {key} & sources().keys() == {key}
    assert "nobody" not in sources()


# -- in use


def test_first_sets_the_catalogue_aside() -> None:
    figures = own("garlic,raw,fructan,14,12,16,,,,Lab")
    found = cell(GARLIC, Group.FRUCTAN, figures)
    assert (found.value, found.grade) == (14, Evidence.OWN)
    assert [each.pedigree.source for each in found.behind if each.used] == ["own: Lab"]
    assert {each.decision for each in found.behind if not each.used} >= {SET_ASIDE}
    assert found.rests_on(Evidence.OWN)


def test_beside_is_pooled_with_the_catalogue() -> None:
    before = cell(GARLIC, Group.FRUCTAN, None)
    found = cell(GARLIC, Group.FRUCTAN, own("garlic,raw,fructan,5,,,,,,Lab,,,beside"))
    assert 5 < found.value < before.value
    assert len(found.behind) == len(before.behind) + 1
    assert SET_ASIDE not in {each.decision for each in found.behind}


def test_sugars_make_a_balance_and_parts_make_a_sum() -> None:
    figures = own(
        "tomato,raw,fructose,2,,,,,,Lab", "tomato,raw,glucose,1.4,,,,,,Lab",
        "chickpea,canned-drained,raffinose,0.2,,,,,,Lab", "chickpea,canned-drained,stachyose,0.5,,,,,,Lab",
    )  # fmt: skip
    assert cell(TOMATO, Group.EXCESS_FRUCTOSE, figures).value == pytest.approx(0.6)
    assert cell(CHICKPEA, Group.GOS, figures).value == pytest.approx(0.7)


def test_parts_that_rank_first_set_a_sum_of_the_catalogue_aside_too() -> None:
    rows = [f"chickpea,canned-drained,{part},0.4,,,,,,Lab" for part in ("raffinose", "stachyose")]
    found = cell(CHICKPEA, Group.GOS, own(*rows))
    assert [each.pedigree.source for each in found.behind if each.used] == ["own: Lab"]


def test_an_own_zero_ranks_before_a_rule() -> None:
    assert cell(GARLIC, Group.LACTOSE, None).grade is Evidence.RULE
    found = cell(GARLIC, Group.LACTOSE, own("garlic,raw,lactose,0,,0.1,,,nd,Lab"))
    assert (found.value, found.high, found.grade) == (0, 0.1, Evidence.OWN)


def test_a_form_derived_from_an_own_figure_shows_it() -> None:
    changed = own("tomato,raw,fructose,5,,,,,,Lab", "tomato,raw,glucose,1,,,,,,Lab")
    moved = [
        key
        for key in foods()
        if key.food == "tomato" and key != TOMATO and (found := _content(key, changed)) and found.rests_on(Evidence.OWN)
    ]
    assert all(cell(key, Group.EXCESS_FRUCTOSE, changed).grade is Evidence.DERIVED for key in moved)


def _content(key: FoodKey, figures: OwnFigures) -> Estimate | None:
    with using(figures):
        return composition(key)[Group.EXCESS_FRUCTOSE]


def test_inside_and_outside_differ_and_nothing_is_left_behind() -> None:
    before, cells = composition(GARLIC), observations()
    low, high = own("garlic,raw,fructan,1,,,,,,Lab"), own("garlic,raw,fructan,30,,,,,,Lab")
    for _ in range(2):
        assert cell(GARLIC, Group.FRUCTAN, low).value == 1
        assert cell(GARLIC, Group.FRUCTAN, high).value == 30
        assert composition(GARLIC) == before
    with using(low):
        with using(high):
            assert in_use() is high
        assert in_use() is low
        with using(None):
            assert composition(GARLIC) == before
    assert in_use() is None
    assert observations() is cells


def test_an_error_inside_takes_the_figures_out_of_use() -> None:
    with pytest.raises(KeyError), using(own("garlic,raw,fructan,1,,,,,,Lab")):
        composition(FoodKey("moon", "raw"))
    assert in_use() is None


def test_another_thread_does_not_see_them() -> None:
    found: list[OwnFigures | None] = []
    with using(own("garlic,raw,fructan,1,,,,,,Lab")):
        thread = threading.Thread(target=lambda: found.append(in_use()))
        thread.start()
        thread.join()
    assert found == [None]


def test_other_foods_stay_as_they_are() -> None:
    figures = own("garlic,raw,fructan,1,,,,,,Lab")
    before = {key: composition(key) for key in foods() if key.food != "garlic"}
    with using(figures):
        assert {key: composition(key) for key in before} == before


def test_a_first_look_within_does_not_colour_what_is_kept() -> None:
    composition.__globals__["_composition"].cache_clear()
    with using(own("garlic,raw,fructan,1,,,,,,Lab")):
        inside = composition(GARLIC)
    assert composition(GARLIC) != inside
    assert composition(GARLIC)[Group.FRUCTAN] != inside[Group.FRUCTAN]


def test_bounds_of_the_unknown_know_own_figures() -> None:
    shelf = foods()[GARLIC].kind
    figures = own("garlic,raw,mannitol,60,,,,,,Lab")
    assert ceilings(figures)[shelf, Group.MANNITOL] >= 60
    outside = ceiling(GARLIC, Group.MANNITOL)
    with using(figures):
        inside = ceiling(GARLIC, Group.MANNITOL)
    assert inside >= outside == ceiling(GARLIC, Group.MANNITOL)


@settings(deadline=None, max_examples=25)
@given(st.floats(0.1, 60), st.sampled_from(["first", "beside"]))
def test_the_load_follows_the_figure(value: float, rank: str) -> None:
    dish = Dish("One food", 1, (read("10 g garlic"),))
    before = report(dish).result
    figures = own(f"garlic,raw,fructan,{value},,,,,,Lab,,,{rank}")
    with using(figures):
        after = report(dish).result
    assert after.figures is figures
    content = cell(GARLIC, Group.FRUCTAN, figures)
    assert after.loads["fructan"].range.value == pytest.approx(content.value / 10, rel=0.01)
    assert {name: load for name, load in after.loads.items() if name == "gos"} == {"gos": before.loads["gos"]}
    assert report(dish).result.loads == before.loads
    assert explain(after, "fructan").origins[0].estimate == content, "taken apart outside of the figures' use"


def test_findings_name_the_food_and_the_groups() -> None:
    dish = Dish("One food", 1, (read("10 g garlic"),))
    with using(own("garlic,raw,fructan,1,,,,,,Lab")):
        sentences = [each.sentence for each in report(dish).result.findings if each.kind.value == "own-figure"]
    assert sentences == ["Garlic, raw: the practitioner's own figures bear on fructan."]
    assert "own-figure" not in {each.kind.value for each in report(dish).result.findings}
