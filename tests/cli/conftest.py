"""A folder with a dish and a meal, in which each test runs."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.helpers import MEAL, SALAD


@pytest.fixture
def kitchen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder: salad.md and meal.yaml."""
    (tmp_path / "salad.md").write_text(SALAD, encoding="utf-8")
    (tmp_path / "meal.yaml").write_text(MEAL, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path
