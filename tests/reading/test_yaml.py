from __future__ import annotations

import pytest

from lowsimmer.domain.errors import InputError
from lowsimmer.reading.plain_yaml import load_mapping


def test_brackets_without_end_are_refused_before_they_are_read() -> None:
    with pytest.raises(InputError, match="brackets that are not closed"):
        load_mapping("title: " + "[" * 5000, "'a.yaml'")


def test_brackets_in_ordinary_use_are_read() -> None:
    assert load_mapping("dishes: [{file: a.md}, {file: b.md}]", "'a.yaml'") == {
        "dishes": [{"file": "a.md"}, {"file": "b.md"}]
    }


def test_half_a_letter_is_refused() -> None:
    with pytest.raises(InputError, match="no character"):
        load_mapping('title: "\\ud800"', "'a.yaml'")
