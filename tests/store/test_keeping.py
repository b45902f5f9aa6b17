from __future__ import annotations

import hashlib
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from lowsimmer.demo import KITCHEN
from lowsimmer.domain.errors import InputError
from lowsimmer.loads.report import report
from lowsimmer.reading.meal import open_plate
from lowsimmer.store.bring import bring, files_of, preview
from lowsimmer.store.keeping import (
    MANIFEST,
    SEAL,
    _seal,
    backup,
    check_backup,
    export_folder,
    export_zip,
    exported,
    restore,
    wipe,
)
from lowsimmer.store.records import DocumentKind, Edit
from lowsimmer.store.store import Store, open_store
from lowsimmer.store.tables import METADATA

DISH, PLATE, FIGURES = DocumentKind.DISH, DocumentKind.PLATE, DocumentKind.FIGURES


def filled(store: Store) -> None:
    """The worked example with changes, an undo, a removed dish, a half-written one, and settings."""
    bring(store, preview(store, files_of(KITCHEN)), {}, "test")
    head = store.head(DISH, "salmon")
    store.edit(Edit(DISH, "salmon", head.number, head.text + "\n4. Rest ½ hour.\r\n", "test"))
    store.edit(Edit(DISH, "salmon", 2, "\u2028 other \U0001f372", "test"))
    store.undo(DISH, "salmon", "test")
    store.create(DISH, "Half", "", "test")
    store.create(PLATE, "Half", "dishes: [", "test")
    store.remove(DISH, "crumble", "test")
    store.set_setting("started", "demo")
    store.set_setting("words", "a\nb")


def everything(store: Store) -> dict[str, set[Any]]:
    """Every row of every table."""
    with store.engine.connect() as connection:
        return {table.name: set(map(tuple, connection.execute(select(table)))) for table in METADATA.sorted_tables}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The bytes of a whole backup."""
    folder = tmp_path_factory.mktemp("whole")
    made = open_store(str(folder / "a.sqlite"))
    filled(made)
    backup(made, folder / "b.zip")
    made.close()
    return (folder / "b.zip").read_bytes()


def rewritten(
    data: bytes, path: Path, change: dict[str, Any] | None = None, rows: dict[str, bytes] | None = None
) -> Path:
    """A backup with another manifest or other rows, sealed again as only somebody who wants to could."""
    path.write_bytes(data)
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()} | (rows or {})
    parts[MANIFEST] = json.dumps(json.loads(parts[MANIFEST]) | (change or {})).encode()
    with zipfile.ZipFile(path, "w") as packed:
        for name, part in parts.items():
            packed.writestr(name, part)
        packed.comment = b"0" * SEAL
    with path.open("r+b") as file:
        seal = _seal(file)
        file.write(seal)
    return path


# Backup and restore


def test_a_backup_brings_back_every_version_and_setting(store: Store, tmp_path: Path) -> None:
    filled(store)
    before = everything(store)
    made = backup(store, tmp_path / "b.zip")
    assert check_backup(tmp_path / "b.zip") == made
    assert (made.documents, made.versions) == (len(before["document"]), len(before["version"]))
    assert [each.name for each in tmp_path.iterdir() if "sqlite" not in each.name] == ["b.zip"]
    wipe(store)
    assert store.is_empty()
    told: list[tuple[int, int]] = []
    restore(store, tmp_path / "b.zip", lambda done, all_: told.append((done, all_)))
    assert everything(store) == before
    assert store.check() == []
    assert told[-1][0] == told[-1][1] == sum(map(len, before.values()))


def test_a_restore_replaces_what_is_there(store: Store, tmp_path: Path, whole: bytes) -> None:
    store.create(DISH, "Something else", "x", "test")
    store.create(DISH, "Salmon", "x", "test")
    (tmp_path / "b.zip").write_bytes(whole)
    restore(store, tmp_path / "b.zip")
    assert "something-else" not in {each.name for each in store.list(DISH)}
    assert len(store.history(DISH, "salmon")) == 4
    assert store.redo(DISH, "salmon", "test") is not None


@pytest.mark.parametrize("part", [0.0, 0.2, 0.5, 0.8, 0.999])
def test_a_damaged_backup_changes_nothing(store: Store, tmp_path: Path, whole: bytes, part: float) -> None:
    store.create(DISH, "Soup", "x", "test")
    before, place = everything(store), int(len(whole) * part)
    for data in (whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :], whole[:place], whole + b"x"):
        (tmp_path / "b.zip").write_bytes(data)
        with pytest.raises(InputError, match=r"'b.zip' is not a whole backup of the bench\. Nothing was changed"):
            restore(store, tmp_path / "b.zip")
    assert everything(store) == before


@given(st.data())
def test_one_changed_byte_anywhere_is_found(
    whole: bytes, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    place = data.draw(st.integers(0, len(whole) - 1))
    changed = bytearray(whole)
    changed[place] ^= data.draw(st.integers(1, 255))
    path = tmp_path_factory.getbasetemp() / "changed.zip"
    path.write_bytes(changed)
    with pytest.raises(InputError):
        check_backup(path)


def test_a_backup_of_a_newer_format_is_refused(store: Store, tmp_path: Path, whole: bytes) -> None:
    store.create(DISH, "Soup", "x", "test")
    before, path = everything(store), rewritten(whole, tmp_path / "b.zip", {"format": 2})
    with pytest.raises(InputError, match="The backup has format 2; this version reads up to 1") as told:
        restore(store, path)
    assert "use a newer Lowsimmer" in str(told.value)
    assert everything(store) == before


BAD_DOCUMENT = {
    "kind": "dish",
    "name": "../../x",
    "title": "x",
    "head": 1,
    "made_at": "2026-01-01",
    "changed_at": "2026-01-01",
    "removed_at": None,
}


@pytest.mark.parametrize(
    "row",
    [
        BAD_DOCUMENT,  # a name that leads out of a folder
        BAD_DOCUMENT | {"name": "x"},  # no version of it is there
        BAD_DOCUMENT | {"name": "x", "kind": "sauce"},
        BAD_DOCUMENT | {"name": 7},
        BAD_DOCUMENT | {"name": "x", "made_at": "soon"},
        {"name": "x"},
        ["x"],
        None,
    ],
)
def test_a_backup_made_up_with_care_changes_nothing(store: Store, tmp_path: Path, whole: bytes, row: object) -> None:
    store.create(DISH, "Soup", "x", "test")
    part = json.dumps(row).encode() + b"\n"
    with zipfile.ZipFile(rewritten(whole, tmp_path / "a.zip")) as packed:
        head = json.loads(packed.read(MANIFEST))
    change = {
        "rows": head["rows"] | {"document": 1, "version": 0},
        "sums": head["sums"] | {"document": hashlib.sha256(part).hexdigest(), "version": hashlib.sha256().hexdigest()},
    }
    parts = {"document.jsonl": part, "version.jsonl": b""}
    before, path = everything(store), rewritten(whole, tmp_path / "b.zip", change, parts)
    with pytest.raises(InputError, match="not a whole backup"):
        restore(store, path)
    assert everything(store) == before


def test_what_is_no_backup_is_refused(store: Store, tmp_path: Path) -> None:
    (tmp_path / "b.zip").write_bytes(export_zip(store))
    with pytest.raises(InputError, match="not a whole backup"):
        check_backup(tmp_path / "b.zip")
    with pytest.raises(InputError, match="cannot be read: no such file"):
        check_backup(tmp_path / "none.zip")


def test_a_backup_that_cannot_be_written_leaves_the_old_one(store: Store, tmp_path: Path, whole: bytes) -> None:
    (tmp_path / "b.zip").write_bytes(whole)
    (tmp_path / "b.zip.part").mkdir()
    with pytest.raises(InputError, match="cannot be written"):
        backup(store, tmp_path / "b.zip")
    assert (tmp_path / "b.zip").read_bytes() == whole


# Export


def test_export_wipe_and_bring_back_give_the_same_texts(store: Store, tmp_path: Path) -> None:
    bring(store, preview(store, files_of(KITCHEN)), {}, "test")
    store.create(DISH, "Half", "---\ntitle: Half", "test")
    kept = dict(exported(store))
    assert sorted(export_folder(store, tmp_path / "out")) == sorted(kept)
    assert len(kept) == 6
    wipe(store)
    bring(store, preview(store, files_of(tmp_path / "out")), {}, "test")
    assert dict(exported(store)) == kept


def test_an_exported_plate_finds_its_dishes(store: Store, tmp_path: Path) -> None:
    bring(store, preview(store, files_of(KITCHEN)), {}, "test")
    export_folder(store, tmp_path / "out")
    assert report(open_plate(str(tmp_path / "out/kitchen/supper.yaml"))).result.loads


def test_an_export_leaves_out_what_was_removed(store: Store) -> None:
    filled(store)
    assert "kitchen/crumble.md" not in dict(exported(store))


def test_an_export_writes_over_no_work_of_others(store: Store, tmp_path: Path) -> None:
    store.create(DISH, "Soup", "ours", "test")
    assert export_folder(store, tmp_path) == export_folder(store, tmp_path) == ["kitchen/soup.md"]
    (tmp_path / "kitchen/soup.md").write_text("theirs", encoding="utf-8")
    store.create(DISH, "Apple", "ours", "test")
    with pytest.raises(InputError, match="is there with another text"):
        export_folder(store, tmp_path)
    assert (tmp_path / "kitchen/soup.md").read_text(encoding="utf-8") == "theirs"
    assert not (tmp_path / "kitchen/apple.md").exists()
