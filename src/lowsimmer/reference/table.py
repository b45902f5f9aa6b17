"""Reading a data file: comment head, header row, rows as dictionaries of text."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from lowsimmer.domain.errors import DomainError

DATA = Path(__file__).parent / "data"
OWN_SOURCE = "own: "  # begins the source key of a practitioner's own figure; the rest is the source in their words


class DataFileError(DomainError):
    """A data file of the project is broken; a mistake of ours, not of the user."""


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one data file (`measures.csv`) or of a folder of files with equal columns (`foods`), read once."""
    path = DATA / name
    files = sorted(path.glob("*.csv")) if path.is_dir() else (path,)
    return tuple(row for file in files for row in _read(file))


def _read(file: Path) -> Iterator[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as handle:
        body = [line for line in handle if not line.startswith("#")]
    reader = csv.DictReader(body)
    for row in reader:
        if None in row or None in row.values():
            raise DataFileError(f"{file.name}: a row has too many or too few cells: {row}")
        yield row


def head(name: str) -> list[str]:
    """The comment lines at the head of a data file, without their marks."""
    with (DATA / name).open(encoding="utf-8") as handle:
        return [line[1:].strip() for line in handle if line.startswith("#")]


def number(text: str) -> float | None:
    """A cell as a number; None when it is empty."""
    return float(text) if text else None


class Sources(Mapping[str, dict[str, str]]):
    """Source key -> its row. A key 'own: TEXT' is known without a row: it cites itself and has a voice of its own."""

    def __init__(self, listed: dict[str, dict[str, str]]) -> None:
        self._listed = listed

    def __getitem__(self, key: str) -> dict[str, str]:
        if key not in self._listed and key.startswith(OWN_SOURCE):
            citation = f"the practitioner's own figures: {key.removeprefix(OWN_SOURCE)}"
            return {"source": key, "citation": citation, "doi": "", "kind": "own", "voice": key, "note": ""}
        return self._listed[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._listed)

    def __len__(self) -> int:
        return len(self._listed)


@cache
def sources() -> Sources:
    """Source key -> its row of sources.csv (citation, doi, kind, voice, note), and the practitioner's own."""
    return Sources({row["source"]: row for row in rows("sources.csv")})
