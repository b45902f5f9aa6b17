"""Words shown to people, kept in a plain text file, reviewed and compared.

A file holds one block a case: `## name`, then the words. `UPDATE_SNAPSHOTS=1 pytest -n 0 ...` rewrites what changed;
the difference is then read like any other change.
"""

from __future__ import annotations

import os
from pathlib import Path

HEAD = "# Written by tests/snapshots.py; UPDATE_SNAPSHOTS=1 rewrites it. Read every change as a user would."


def load(file: Path) -> dict[str, str]:
    """Name -> words of one snapshot file; empty when there is none yet."""
    if not file.exists():
        return {}
    blocks = file.read_text(encoding="utf-8").split("\n## ")[1:]
    return {name: words.strip("\n") for name, _, words in (block.partition("\n") for block in blocks)}


def save(file: Path, kept: dict[str, str]) -> None:
    """Write all blocks in the order of their names."""
    blocks = [f"## {name}\n{kept[name]}\n" for name in sorted(kept)]
    file.write_text("\n".join([f"{HEAD}\n", *blocks]), encoding="utf-8")


def check(file: Path, name: str, words: str) -> None:
    """The words of one case are those on file; with UPDATE_SNAPSHOTS=1 they become those on file."""
    kept = load(file)
    if os.environ.get("UPDATE_SNAPSHOTS") == "1" and kept.get(name) != words:
        save(file, {**kept, name: words})
        return
    assert name in kept, f"no snapshot '{name}' in {file.name}; set UPDATE_SNAPSHOTS=1 to write it"
    assert words == kept[name]
