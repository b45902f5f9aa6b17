"""Running the command in this process, and the small files it is run on."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

import pytest

from lowsimmer.cli import main

SALAD = """---
title: Lentil salad
serves: 4
region: uk
---
## Ingredients
### Salad
- 1 x 400 g can brown lentils, drained and rinsed
- 4 spring onions, green parts only
- 200 g cherry tomatoes, halved
### Dressing
- 2 tbsp olive oil
- juice of 1 lemon
- salt to taste
## Method
1. Mix.
2. Dress.
"""

MEAL = """title: Lunch
dishes:
  - file: salad.md
    portion: 1 serving
  - file: salad.md
    portion: half
"""


@dataclass(frozen=True)
class Answer:
    """What a run of the command gave back."""

    status: int
    out: str
    err: str

    def record(self) -> Any:
        """Standard output as one strict JSON document."""
        return json.loads(self.out, parse_constant=_refuse)


def _refuse(word: str) -> NoReturn:
    raise AssertionError(f"{word} is not JSON")


def run(capsys: pytest.CaptureFixture[str], *words: str) -> Answer:
    """`lowsimmer WORDS` in this process."""
    status = 0
    try:
        main(list(words))
    except SystemExit as left:
        status = left.code if isinstance(left.code, int) else 1
    out, err = capsys.readouterr()
    return Answer(status, out, err)


def spawn(*words: str, stdin: bytes = b"", timeout: float = 30, env: dict[str, str] | None = None) -> Answer:
    """`lowsimmer WORDS` as a real process."""
    done = subprocess.run(
        [sys.executable, "-m", "lowsimmer", *words],
        input=stdin, capture_output=True, timeout=timeout, check=False, env=env,
    )  # fmt: skip
    return Answer(done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))


def files_under(folder: Path) -> dict[str, int]:
    """Every file below a folder with its size: compared before and after, it shows what was written."""
    return {str(path.relative_to(folder)): path.lstat().st_size for path in folder.rglob("*")}
