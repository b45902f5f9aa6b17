"""Every verb answers in words and, with --json, in one JSON document with stable keys."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from lowsimmer.cli import VERBS
from lowsimmer.domain.groups import SUMS, Group
from lowsimmer.domain.limits import Verdict
from lowsimmer.loads.phases import PHASES
from tests.cli.helpers import SALAD, files_under, run, spawn

LINE_KEYS = {"line", "amount", "unit", "food", "form", "name", "preparation", "grams", "findings"}
DISH_KEYS = {"title", "servings", "serving_g", "groups", "verdict", "largest_serving", "nutrition", "findings"}
LOAD_KEYS = {"value", "low", "high", "limit", "share", "verdict", "unknown_g", "drivers"}
WORDS = {verdict.value for verdict in Verdict}


def _give_stdin(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))


def test_read_gives_one_record_a_line(
    kitchen: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _give_stdin(monkeypatch, "200 g firm tofu, drained\n\n1/2 cup moonfruit jelly\n")
    records = run(capsys, "read", "--json").record()
    assert [record["line"] for record in records] == ["200 g firm tofu, drained", "1/2 cup moonfruit jelly"]
    tofu, strange = records
    assert tofu.keys() >= LINE_KEYS
    assert tofu["amount"] == {"value": 200, "low": 200, "high": 200}
    assert (tofu["unit"], tofu["name"], tofu["preparation"]) == ("gram", "firm tofu", "drained")
    assert tofu["grams"]["value"] == 200
    assert (strange["food"], strange["grams"]) == (None, None)
    assert {"kind", "severity", "sentence", "where", "next_step", "choices"} == strange["findings"][0].keys()


def test_read_takes_a_file_and_a_region(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kitchen / "lines.txt").write_text("1 tbsp rice\n", encoding="utf-8")
    spoons = [run(capsys, "read", "lines.txt", "--json", "--region", each).record()[0] for each in ("us", "au")]
    ratio = spoons[1]["grams"]["value"] / spoons[0]["grams"]["value"]
    assert ratio == pytest.approx(20 / 14.787, rel=0.01)


def test_read_shows_its_steps(
    kitchen: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _give_stdin(monkeypatch, "2 cloves garlic, crushed\n")
    answer = run(capsys, "read", "--steps")
    assert answer.status == 0
    assert "2 cloves garlic, crushed" in answer.out
    assert "tidy" in answer.out


def test_assess_gives_the_whole_assessment_of_a_dish(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = run(capsys, "assess", "salad.md", "--json").record()
    assert record.keys() >= DISH_KEYS
    assert (record["title"], record["servings"]) == ("Lentil salad", 4)
    assert set(record["groups"]) == {group.value for group in Group}
    assert set(record["sums"]) == set(SUMS)
    assert set(record["phases"]) == set(PHASES)
    for load in (*record["groups"].values(), *record["sums"].values()):
        assert load.keys() >= LOAD_KEYS
        assert load["verdict"] in WORDS
        assert 0 <= load["low"] <= load["value"] <= load["high"]
    assert record["verdict"] in WORDS
    assert record["largest_serving"].keys() >= {"servings", "grams", "stopped_by", "reason"}


def test_assess_takes_a_meal(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    meal = run(capsys, "assess", "meal.yaml", "--json").record()
    dish = run(capsys, "assess", "salad.md", "--json").record()
    assert meal["title"] == "Lunch"
    assert meal["servings"] is None
    assert meal["serving_g"]["value"] == pytest.approx(1.5 * dish["serving_g"]["value"], rel=0.001)
    assert meal["groups"]["gos"]["value"] == pytest.approx(1.5 * dish["groups"]["gos"]["value"], rel=0.001)


def test_assess_phase_profile_region_and_seed(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    strict = run(capsys, "assess", "salad.md", "--json").record()
    loose = run(capsys, "assess", "salad.md", "--json", "--phase", "maintenance").record()
    named = run(capsys, "assess", "salad.md", "--json", "--profile", "maintenance").record()
    other = run(capsys, "assess", "salad.md", "--json", "--region", "au", "--seed", "7").record()
    assert loose["groups"]["gos"]["limit"] > strict["groups"]["gos"]["limit"]
    assert named["groups"] == loose["groups"]
    assert other["serving_g"]["value"] > strict["serving_g"]["value"]


def test_assess_reads_schema_org_recipes(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    recipe = {"@context": "https://schema.org", "@type": "Recipe", "name": "Rice", "recipeYield": "4 servings",
              "recipeIngredient": ["320 g rice", "1 tsp salt"], "recipeInstructions": "Boil."}  # fmt: skip
    (kitchen / "rice.json").write_text(json.dumps(recipe), encoding="utf-8")
    page = f"<html><body><script type='application/ld+json'>{json.dumps([recipe])}</script></body></html>"
    (kitchen / "rice.html").write_text(page, encoding="utf-8")
    first, second = (run(capsys, "assess", name, "--json").record() for name in ("rice.json", "rice.html"))
    assert first == second
    assert (first["title"], first["servings"]) == ("Rice", 4)


def test_why_unrolls_a_group_to_published_figures(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = run(capsys, "why", "salad.md", "gos", "--json").record()
    assert record.keys() >= {"title", "group", "load", "origins", "nothing_in", "sources"}
    lentils = record["origins"][0]
    assert "lentil" in lentils["line"]
    assert lentils["weight_from"]
    figures = lentils["content"]["figures"]
    assert {figure["source"] for figure in figures if figure["decision"] == "used"} <= record["sources"].keys()


def test_foods_finds_and_suggests(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = run(capsys, "foods", "garlic", "--json").record()
    assert found.keys() >= {"words", "foods", "near"}
    assert "garlic" in {food["food"] for food in found["foods"]}
    assert set(found["foods"][0]["g_per_100g"]) == {group.value for group in Group}
    nothing = run(capsys, "foods", "garlicc", "--json").record()
    assert nothing["foods"] == []
    assert "garlic" in nothing["near"]
    assert len(nothing["near"]) <= 5


def test_demo_writes_its_files_and_one_document(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = run(capsys, "demo", "--json", "-o", "shown").record()
    assert {"supper.yaml"} < record.keys()
    assert all(each.keys() >= DISH_KEYS and each["verdict"] in WORDS for each in record.values())
    written = [path for path in (kitchen / "shown").rglob("*") if path.is_file()]
    assert written
    assert all(path.stat().st_size for path in written)


@pytest.mark.parametrize(
    "words",
    [
        ["read", "lines.txt"], ["assess", "salad.md"], ["assess", "meal.yaml"], ["why", "salad.md", "gos"],
        ["foods", "onion"], ["sources"], ["figures", "own.csv", "salad.md"], ["demo", "-o", "shown"],
    ],
)  # fmt: skip
def test_every_verb_answers_in_words(kitchen: Path, capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    (kitchen / "lines.txt").write_text("1 onion\n", encoding="utf-8")
    (kitchen / "own.csv").write_text("food,form,analyte,value,source\ngarlic,raw,fructan,9,Lab\n", encoding="utf-8")
    answer = run(capsys, *words)
    assert (answer.status, answer.err) == (0, "")
    assert answer.out.strip()
    assert answer.out.endswith("\n")
    assert "\x1b" not in answer.out, "no colour codes"


def test_every_verb_is_tried_above() -> None:
    tried = {"read", "assess", "why", "foods", "sources", "figures", "demo"}
    bench = {"serve", "backup", "restore", "export", "import"}  # in test_serve.py
    assert set(VERBS) == tried | bench, "a new verb needs its tests"


@pytest.mark.parametrize("verb", list(VERBS))
def test_every_verb_has_help(capsys: pytest.CaptureFixture[str], verb: str) -> None:
    answer = run(capsys, verb, "--help")
    assert answer.status == 0
    assert "--json" in answer.out


def test_reading_verbs_write_nothing(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = files_under(kitchen)
    for words in (["assess", "salad.md"], ["why", "salad.md", "gos"], ["foods", "onion"]):
        run(capsys, *words)
    assert files_under(kitchen) == before


def test_a_real_process_reads_standard_input(kitchen: Path) -> None:
    answer = spawn("read", "-", "--json", stdin="½ cup rice\n".encode())
    assert (answer.status, answer.err) == (0, "")
    assert answer.record()[0]["amount"]["value"] == 0.5


def test_two_real_processes_agree_to_the_last_bit(kitchen: Path) -> None:
    first, second = (
        spawn("assess", "salad.md", "--json", env={**os.environ, "PYTHONHASHSEED": seed}) for seed in ("1", "2")
    )
    assert first.status == 0
    assert first.out == second.out


def test_output_is_utf_8_whatever_the_terminal_says(kitchen: Path) -> None:
    (kitchen / "creme.md").write_text(SALAD.replace("Lentil salad", "Crème brûlée ½"), encoding="utf-8")
    env = {**os.environ, "PYTHONIOENCODING": "ascii"}
    answer = spawn("assess", "creme.md", "--json", env=env)
    assert (answer.status, answer.err) == (0, "")
    assert answer.record()["title"] == "Crème brûlée ½"


def test_the_command_line_imports_nothing_heavy() -> None:
    code = "import sys, lowsimmer.cli; print(sorted({'numpy', 'yaml', 'rapidfuzz'} & sys.modules.keys()))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
