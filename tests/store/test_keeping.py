from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from lowsimmer.demo import KITCHEN
from lowsimmer.domain.errors import InputError
from lowsimmer.store.bring import Choice, Standing, Watch, bring, files_of, preview
from lowsimmer.store.keeping import backup, export_folder, exported, restore, wipe
from lowsimmer.store.records import DocumentKind, Edit
from lowsimmer.store.store import Store

DISH = DocumentKind.DISH
RECIPE = b'{"@type": "Recipe", "name": "Rice", "recipeYield": "2", "recipeIngredient": ["100 g rice"]}'


def filled(store: Store) -> None:
    """The worked example and one change of it."""
    bring(store, preview(store, files_of(KITCHEN)), {}, "test")
    head = store.head(DISH, "salmon")
    store.edit(Edit(DISH, "salmon", head.number, head.text + "\n4. Rest.", "test"))


def test_a_backup_brings_back_every_version_and_setting(store: Store, tmp_path: Path) -> None:
    filled(store)
    store.set_setting("started", "demo")
    before = [store.history(DISH, each.name) for each in store.list(DISH)]
    backup(store, tmp_path / "b.zip")
    wipe(store)
    assert store.is_empty()
    restore(store, tmp_path / "b.zip")
    assert [store.history(DISH, each.name) for each in store.list(DISH)] == before
    assert store.setting("started") == "demo"
    assert store.check() == []


@pytest.mark.parametrize("part", [0.2, 0.5, 0.8])
def test_a_damaged_backup_changes_nothing(store: Store, tmp_path: Path, part: float) -> None:
    filled(store)
    backup(store, tmp_path / "b.zip")
    data = bytearray((tmp_path / "b.zip").read_bytes())
    data[int(len(data) * part)] ^= 0xFF
    (tmp_path / "b.zip").write_bytes(data)
    kept = dict(exported(store))
    with pytest.raises(InputError):
        restore(store, tmp_path / "b.zip")
    (tmp_path / "b.zip").write_bytes(data[: int(len(data) * part)])
    with pytest.raises(InputError, match="not a whole backup"):
        restore(store, tmp_path / "b.zip")
    assert dict(exported(store)) == kept


def test_export_wipe_and_import_give_the_same_files(store: Store, tmp_path: Path) -> None:
    filled(store)
    kept = dict(exported(store))
    assert len(export_folder(store, tmp_path / "out")) == len(kept) == 5
    wipe(store)
    bring(store, preview(store, files_of(tmp_path / "out")), {}, "test")
    assert dict(exported(store)) == kept


def test_a_preview_says_how_each_file_stands(store: Store) -> None:
    filled(store)
    salmon = (KITCHEN / "lentils.md").read_bytes()
    files = [("lentils.md", salmon), ("other.md", salmon + b"\n"), ("salmon.md", salmon[:-9]), ("r.json", RECIPE),
             ("x.png", b""), ("y.json", b"{")]  # fmt: skip
    found = preview(store, files)
    assert [each.standing for each in found] == [
        Standing.SAME, Standing.ALIKE, Standing.TAKEN, Standing.NEW, Standing.UNUSABLE, Standing.UNUSABLE,
    ]  # fmt: skip
    done = bring(store, found, {2: Choice.VERSION}, "test")
    assert (done.counts[Choice.VERSION], done.counts[Choice.TAKE], done.counts[Choice.LEAVE]) == (1, 1, 4)
    assert "100 g rice" in store.head(DISH, "rice").text


def test_a_stopped_import_keeps_what_was_taken(store: Store) -> None:
    taken: list[int] = []
    watch = Watch(lambda done, _all: taken.append(done), lambda: len(taken) == 2)
    done = bring(store, preview(store, files_of(KITCHEN)), {}, "test", watch)
    assert done.stopped
    assert done.words.startswith("Stopped: 2 brought in")
    assert store.count(DISH) == 2


def test_a_zip_that_unpacks_to_too_much_is_refused() -> None:
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("big.md", b"0" * 5_000_000)
    with pytest.raises(InputError, match="too much at once"):
        files_of(into.getvalue())
