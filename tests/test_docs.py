"""Documentation is under test: every kind of finding, verb, option and JSON key has its place on a page."""

from __future__ import annotations

import argparse
import importlib.util
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lowsimmer import cli
from lowsimmer.domain.findings import MEANING, Kind
from tests.cli.helpers import MEAL, SALAD, run

ROOT = Path(__file__).parents[1]
COMMANDS = ROOT / "docs" / "commands.md"
FINDINGS = ROOT / "docs" / "findings.md"
DATA_PAGE = ROOT / "docs" / "data.md"

# Keys whose own keys are names of data, not of the format: file names, source keys.
OPEN = {"sources"}
LINES = """2-3 cloves garlic, crushed
1 x 400 g can chickpeas, drained and rinsed (about 240 g)
2 tbsp maple syrup or honey
salt and pepper to taste
moonfruit jelly
"""
PEPPER = """---
title: Pepper
serves: 2
---
## Ingredients
- 10 g black pepper
- 10 g moonfruit jelly
"""
OWN = "food,form,analyte,value,source\nspring-onion-green,raw,fructan,1.2,Our laboratory\n"


def words_in_code(page: Path) -> set[str]:
    """Every word that stands in code on a page, in a line or in a block."""
    text = page.read_text(encoding="utf-8")
    blocks = re.findall(r"```.*?```|`[^`\n]+`", text, flags=re.DOTALL)
    return {word for block in blocks for word in re.findall(r"[\w-]+", block)}


def test_every_kind_has_a_meaning() -> None:
    assert set(MEANING) == set(Kind)


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_has_a_heading_with_its_sentence(kind: Kind) -> None:
    text = FINDINGS.read_text(encoding="utf-8")
    assert f"\n## {kind.value}\n\n{MEANING[kind]}\n" in text


def script(name: str) -> Any:
    """One script of tools/ as a module."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "tools" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool


@pytest.mark.parametrize(("page", "name"), [(FINDINGS, "write_findings_page"), (DATA_PAGE, "write_data_page")])
def test_a_generated_page_is_as_written_by_its_tool(page: Path, name: str) -> None:
    assert page.read_text(encoding="utf-8") == script(name).page(), f"run python tools/{name}.py"


def test_the_pictures_are_as_drawn_by_their_tool() -> None:
    for name, picture in script("draw_pictures").pictures().items():
        shown = (ROOT / "docs" / "pictures" / name).read_text(encoding="utf-8")
        assert shown == picture, f"{name} is out of date: run python tools/draw_pictures.py"


def subparsers() -> dict[str, argparse.ArgumentParser]:
    """Verb -> its parser."""
    for action in cli._parser()._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    raise AssertionError("the command line has no verbs")


def options() -> list[tuple[str, str]]:
    """Every (verb, option) of the command line."""
    return [
        (verb, option)
        for verb, parser in subparsers().items()
        for action in parser._actions
        for option in action.option_strings
        if option not in {"-h", "--help"}
    ]


def section(verb: str) -> str:
    """What the page of commands says under the heading of a verb, down to the next heading of that depth."""
    text = COMMANDS.read_text(encoding="utf-8")
    match = re.search(rf"^(#+) +`?{verb}\b.*?$(.*?)(?=^\1 |\Z)", text, flags=re.MULTILINE | re.DOTALL)
    assert match is not None, f"docs/commands.md has no heading for {verb}"
    return match.group(2)


@pytest.mark.parametrize("verb", list(cli.VERBS))
def test_every_verb_has_a_heading(verb: str) -> None:
    assert section(verb).strip()


@pytest.mark.parametrize(("verb", "option"), options())
def test_every_option_stands_under_its_verb(verb: str, option: str) -> None:
    assert re.search(rf"(?<![\w-]){re.escape(option)}(?![\w-])", section(verb)), f"{option} of {verb}"


def keys(record: Any, inside: str = "") -> Iterator[str]:
    """Every key of a JSON document, at any depth."""
    if isinstance(record, dict):
        for key, value in record.items():
            if inside not in OPEN:
                yield key
            yield from keys(value, key)
    elif isinstance(record, list):
        for each in record:
            yield from keys(each, inside)


@pytest.fixture
def kitchen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a dish, a meal and hard lines."""
    (tmp_path / "salad.md").write_text(SALAD, encoding="utf-8")
    (tmp_path / "meal.yaml").write_text(MEAL, encoding="utf-8")
    (tmp_path / "lines.txt").write_text(LINES, encoding="utf-8")
    (tmp_path / "pepper.md").write_text(PEPPER, encoding="utf-8")
    (tmp_path / "own.csv").write_text(OWN, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    "words",
    [
        ["read", "lines.txt"], ["assess", "salad.md"], ["assess", "meal.yaml"], ["why", "salad.md", "gos"],
        ["foods", "garlic"], ["foods", "garlicc"], ["foods", "gaps", "salad.md", "pepper.md"], ["sources"],
        ["sources", "muir2007"], ["figures", "own.csv", "salad.md"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_every_json_key_is_on_the_page(kitchen: Path, capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    record = json.loads(run(capsys, *words, "--json").out)
    missing = sorted(set(keys(record)) - words_in_code(COMMANDS))
    assert missing == [], f"not in code on docs/commands.md: {', '.join(missing)}"
