"""A bad line among good ones is asked about and not used; the rest of the dish is still answered.

The command ends well (exit status 0), because the answer is in the findings: which line, what is wrong, what to do.
What is never done is to use the line silently or to call the dish within limit without it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.cli.helpers import run

BAD = {
    "-200 g onion": "absurd-amount",
    "0 g onion": "absurd-amount",
    "0 onions": "absurd-amount",
    "1000000 kg onion": "absurd-amount",
    "99999 onions": "absurd-amount",
    "2 zorbs onion": "not-matched",
    "3 smoots of garlic": "not-matched",
    "moonfruit jelly": "not-matched",
    "200 g moonfruit jelly": "not-matched",
    "onion": "no-amount",
    "?!": "not-understood",
    "12": "not-understood",
    "x" * 700: "not-understood",
    "9" * 400 + " g onion": "absurd-amount",
    "1/0 cup onion": "not-matched",
}


def _dish(line: str) -> str:
    return f"---\ntitle: Rice and more\nserves: 2\n---\n## Ingredients\n- 200 g rice\n\n- {line}\n\n- 1 tsp salt\n"


def _asked(record: Any) -> set[str]:
    return {finding["kind"] for finding in record["findings"] if finding["severity"] == "ask"}


@pytest.mark.parametrize("line", list(BAD), ids=lambda line: line[:30])
def test_a_bad_line_is_asked_about_in_the_dish(kitchen: Path, capsys: pytest.CaptureFixture[str], line: str) -> None:
    (kitchen / "dish.md").write_text(_dish(line), encoding="utf-8")
    answer = run(capsys, "assess", "dish.md", "--json")
    assert (answer.status, answer.err) == (0, "")
    record = answer.record()
    assert BAD[line] in _asked(record)
    assert record["verdict"] != "within limit"
    finding = next(each for each in record["findings"] if each["kind"] == BAD[line])
    assert finding["sentence"]
    assert finding["next_step"]


@pytest.mark.parametrize("line", list(BAD), ids=lambda line: line[:30])
def test_a_bad_line_is_asked_about_by_read(kitchen: Path, capsys: pytest.CaptureFixture[str], line: str) -> None:
    (kitchen / "lines.txt").write_text(f"200 g rice\n{line}\n", encoding="utf-8")
    answer = run(capsys, "read", "lines.txt", "--json")
    assert (answer.status, answer.err) == (0, "")
    rice, bad = answer.record()
    assert rice["grams"]["value"] == 200
    assert BAD[line] in _asked(bad)
    if BAD[line] != "not-matched":
        assert bad["grams"] is None


def test_an_unknown_unit_is_never_taken_for_a_count(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kitchen / "lines.txt").write_text("2 zorbs onion\n2 zorbs of onion\n2 zorbs onions\n", encoding="utf-8")
    for record in run(capsys, "read", "lines.txt", "--json").record():
        assert (record["food"], record["grams"]) == (None, None)
