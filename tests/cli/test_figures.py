"""`figures` and `--figures-file`: the preview, the run with own figures, and files that cannot be used."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.helpers import Answer, files_under, run

OWN = """# our laboratory
food,form,analyte,value,low,high,source,locator,rank
spring-onion-green,raw,fructan,3,2.5,3.5,Our laboratory,report 7,
lentil-green,canned-drained,gos,0.4,,,A licensed table,page 3,beside
"""
HEAD = "food,form,analyte,value,low,high,source\n"


@pytest.fixture
def own(kitchen: Path) -> Path:
    """The kitchen with own.csv."""
    (kitchen / "own.csv").write_text(OWN, encoding="utf-8")
    return kitchen


def test_the_preview_in_words(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = files_under(own)
    answer = run(capsys, "figures", "own.csv", "salad.md", "meal.yaml")
    assert answer.status == 0
    assert "own.csv: 2 figures, all usable" in answer.out
    assert "-> 3.00 (" in answer.out
    assert "own; ranks first" in answer.out
    assert "of the catalogue" in answer.out
    assert "Lentil salad (salad.md), per serving, restriction: " in answer.out
    assert "Lunch (meal.yaml), per serving, restriction: " in answer.out
    assert files_under(own) == before


def test_the_preview_as_a_record(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = run(capsys, "figures", "own.csv", "salad.md", "--json").record()
    assert list(record) == ["file", "rows", "cells", "dishes"]
    assert (record["file"], record["rows"]) == ("own.csv", 2)
    onion = record["cells"][0]
    assert (onion["food"], onion["form"], onion["group"]) == ("spring-onion-green", "raw", "fructan")
    assert (onion["rank"], onion["after"]["value"], onion["after"]["grade"]) == ("first", 3, "own")
    assert onion["before"]["grade"] != "own"
    lentil = next(each for each in record["cells"] if each["rank"] == "beside")
    assert (lentil["food"], lentil["group"], lentil["set_aside"]) == ("lentil-green", "gos", 0)
    assert {each["rank"] for each in record["cells"]} <= {"first", "beside", "derived"}
    dish = record["dishes"][0]
    assert dish["loads"]["fructan"]["after"]["value"] > dish["loads"]["fructan"]["before"]["value"]
    assert dish["loads"]["lactose"]["after"] == dish["loads"]["lactose"]["before"]


def test_the_preview_says_what_assess_says(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    dish = run(capsys, "figures", "own.csv", "salad.md", "--json").record()["dishes"][0]
    plain = run(capsys, "assess", "salad.md", "--json").record()
    with_own = run(capsys, "assess", "salad.md", "--json", "--figures-file", "own.csv").record()
    for name, record in (("before", plain), ("after", with_own)):
        assert dish["verdict"][name] == record["verdict"]
        for group, load in {**record["groups"], **record["sums"]}.items():
            seen = dish["loads"][group][name]
            assert seen == {key: load[key] for key in seen}


def test_a_run_with_own_figures_leaves_nothing_behind(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["assess", "salad.md"], ["why", "salad.md", "fructan"], ["foods", "spring", "onion"]):
        before = run(capsys, *words, "--json").record()
        inside = run(capsys, *words, "--json", "--figures-file", "own.csv").record()
        assert inside != before
        assert run(capsys, *words, "--json").record() == before


def test_why_goes_down_to_the_own_source(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, "why", "salad.md", "fructan", "--figures-file", "own.csv")
    assert "own: Our laboratory, report 7, [own figure]" in answer.out
    assert "the practitioner's own figures: Our laboratory" in answer.out
    record = run(capsys, "why", "salad.md", "fructan", "--figures-file", "own.csv", "--json").record()
    assert "own: Our laboratory" in record["sources"]


def test_terms_of_the_judgement(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["figures", "own.csv", "salad.md", "--phase", "maintenance", "--region", "us", "--seed", "3", "--json"]
    assert run(capsys, *words).record()["dishes"][0]["profile"] == "maintenance"


BAD: dict[str, tuple[str | bytes | None, str]] = {
    "missing file": (None, "cannot be read"),
    "empty": ("", "is empty"),
    "not UTF-8": (HEAD.encode() + b"garlic,raw,fructan,2,,,Labor M\xfcnchen\n", "is not UTF-8 text"),
    "wrong column": ("food,form,analyte,amount,source\n", "a column 'amount'"),
    "missing column": ("food,form,analyte,value\n", "no column 'source'"),
    "unknown food": (HEAD + "onion,raw,fructan,2,,,Lab\n", "near: onion-"),
    "wrong form": (HEAD + "garlic,stewed,fructan,2,,,Lab\n", "a form that garlic has: raw"),
    "negative value": (HEAD + "garlic,raw,fructan,-2,,,Lab\n", "line 2, column value: given '-2'"),
    "more than the food": (HEAD + "garlic,raw,fructan,120,,,Lab\n", "at most 100 g"),
    "wrong analyte": (HEAD + "garlic,raw,starch,2,,,Lab\n", "column analyte: given 'starch'"),
    "low above high": (HEAD + "garlic,raw,fructan,2,3,1,Lab\n", "column low: given '3'"),
    "two broken rows": (HEAD + "garlic,raw,fructan,-2,,,Lab\n" * 2, "2 rows are broken in all, on lines 2, 3"),
}


def refused(answer: Answer) -> None:
    """Status 2 and one sentence."""
    assert (answer.status, answer.out, answer.err.count("\n")) == (2, "", 1), answer
    assert answer.err.startswith("lowsimmer: ")


@pytest.mark.parametrize("name", list(BAD))
@pytest.mark.parametrize(
    "words",
    [
        ["figures", "own.csv", "salad.md"],
        ["assess", "salad.md", "--figures-file", "own.csv"],
        ["why", "salad.md", "gos", "--figures-file", "own.csv", "--json"],
        ["foods", "garlic", "--figures-file", "own.csv"],
    ],
    ids=lambda words: words[0],
)
def test_a_file_that_cannot_be_used(
    kitchen: Path, capsys: pytest.CaptureFixture[str], name: str, words: list[str]
) -> None:
    text, says = BAD[name]
    if text is not None:
        (kitchen / "own.csv").write_bytes(text.encode() if isinstance(text, str) else text)
    answer = run(capsys, *words)
    refused(answer)
    assert says in answer.err


def test_a_dish_that_cannot_be_used(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    refused(run(capsys, "figures", "own.csv", "nothing.md"))
    refused(run(capsys, "figures", "own.csv", "salad.md", "--phase", "hope"))
