"""Hard lines with one right reading each; the table stands in hard_lines.txt, for people to read and add to."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from lowsimmer.domain.findings import Kind
from lowsimmer.domain.lines import Amount, Line
from lowsimmer.domain.ranges import Range
from lowsimmer.reading.line import reader
from lowsimmer.reference.phrases import normal, singulars

TABLE = Path(__file__).with_name("hard_lines.txt")


@dataclass(frozen=True)
class Hard:
    """One row of the table."""

    line: str
    amount: str
    name: str
    rest: tuple[str, ...]


def table() -> list[Hard]:
    """The rows of the table."""
    rows = TABLE.read_text(encoding="utf-8").splitlines()
    return [_row(row) for row in rows if row.strip() and not row.startswith("#")]


def _row(row: str) -> Hard:
    line, amount, name, rest = (cell.strip() for cell in row.split("|"))
    return Hard(line, amount, name, tuple(part.strip() for part in rest.split(";") if part.strip()))


def number_words(number: Range) -> str:
    """`2`, `2-3`, or `~3` where the range does not lie evenly around its centre."""
    if number.exact:
        return f"{number.value:g}"
    even = number.value == pytest.approx((number.low + number.high) / 2)
    return f"{number.low:.4g}-{number.high:.4g}" if even else f"~{number.value:g}"


def heap_words(heap: Range | None) -> str:
    """`heaped`, `scant` or nothing for a level measure."""
    if heap is None or heap.value == 1:
        return ""
    return "heaped" if heap.value > 1 else "scant"


def amount_words(amount: Amount | None) -> str:
    """An amount in the words of the table."""
    if amount is None:
        return "-"
    words = " ".join(filter(None, [number_words(amount.number), amount.size, heap_words(amount.heap), amount.unit]))
    pack = f" of {amount_words(amount.pack)}" if amount.pack else ""
    return f"{words}{pack}" + (f" + {amount_words(amount.plus)}" if amount.plus else "")


def same_name(found: str, expected: str) -> bool:
    """Equal but for the plural of the last word."""
    return bool(set(singulars(normal(found))) & set(singulars(normal(expected))))


def holds(line: Line, part: str) -> bool:
    """True when the line says what one part of the last column asks for."""
    word, _, what = part.partition(" ")
    if word == "also":
        return amount_words(line.also) == what
    if word == "or":
        return any(same_name(each.name, what) for each in line.alternatives)
    if word == "and":
        return any(same_name(each.name, what) for each in line.together)
    flags = {
        "optional": line.optional,
        "informal": line.informal,
        "plus more": any(finding.kind is Kind.PLUS_MORE for finding in line.findings),
    }
    said = normal(" ".join((line.preparation, *line.notes))).replace(",", " ").split()
    return flags[part] if part in flags else set(normal(part).split()) <= set(said)


@pytest.mark.parametrize("hard", table(), ids=lambda hard: hard.line)
def test_a_hard_line_has_one_right_reading(hard: Hard) -> None:
    line = reader().read(hard.line)
    assert amount_words(line.amount) == hard.amount
    assert same_name(line.name, hard.name), line.name
    missing = [part for part in hard.rest if not holds(line, part)]
    assert missing == [], line


@pytest.mark.parametrize("hard", [each for each in table() if not any(part.startswith("or ") for part in each.rest)],
                         ids=lambda hard: hard.line)  # fmt: skip
def test_no_choice_is_seen_where_there_is_none(hard: Hard) -> None:
    assert reader().read(hard.line).alternatives == ()


def test_the_table_has_no_line_twice() -> None:
    lines = [hard.line for hard in table()]
    assert len(lines) == len(set(lines))


@pytest.mark.parametrize("heading", ["For the dressing:", "Dressing:", "FOR THE DOUGH:", "To serve:"])
def test_a_heading_is_no_ingredient(heading: str) -> None:
    line = reader().read(heading)
    assert line.name == ""
    assert {finding.kind for finding in line.findings} == {Kind.HEADING}
