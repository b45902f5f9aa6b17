"""The README shows what the program prints: every example is run, and every line shown must come in that order.

A line `...` in an example says that lines were left out.
"""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from lowsimmer.demo import run_demo
from tests.cli.helpers import run

README = Path(__file__).parents[1] / "README.md"
EXAMPLES = re.findall(r"```text\n\$ (.+)\n((?:.*\n)*?)```", README.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the demo has been run."""
    folder = tmp_path_factory.mktemp("kitchen")
    run_demo(str(folder / "demo-out"), quiet=True)
    return folder


def test_there_are_examples() -> None:
    assert len(EXAMPLES) >= 6


@pytest.mark.parametrize(("command", "shown"), EXAMPLES)
def test_an_example_prints_what_the_readme_shows(
    command: str, shown: str, kitchen: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(kitchen)
    given, _, verb = command.rpartition("./run ")
    words = shlex.split(verb)
    if given:
        line = shlex.split(given)[1]
        (kitchen / "line.txt").write_text(line, encoding="utf-8")
        words.insert(1, "line.txt")
    printed = run(capsys, *words).out.splitlines()
    at = 0
    for line in (each for each in shown.splitlines() if each != "..."):
        assert line in printed[at:], f"not printed any more: {line}"
        at = printed.index(line, at) + 1
