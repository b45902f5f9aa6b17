"""Everything taken out, wiped, and brought in again is the same; so is a backup."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from playwright.sync_api import FilePayload, Page, expect

from lowsimmer.store.keeping import wipe
from lowsimmer.store.store import open_store
from tests.browser.acts import kept, kept_beyond
from tests.browser.watch import Watch

METHOD = '1. Heat the oven.\n2. Bake: 15 minutes, 200 °C.\n\nServe "hot".'


def _taken(page: Page, link: str) -> bytes:
    page.goto("/keep")
    with page.expect_download() as waiting:
        page.get_by_role("link", name=link).click()
    return waiting.value.path().read_bytes()


def _files(data: bytes) -> dict[str, bytes]:
    with ZipFile(BytesIO(data)) as opened:
        return {each: opened.read(each) for each in opened.namelist()}


def _zip(data: bytes) -> FilePayload:
    return {"name": "kept.zip", "mimeType": "application/zip", "buffer": data}


def _begin_and_write(page: Page) -> None:
    page.goto("/")
    page.get_by_role("button", name="Begin with the worked example").click()
    page.get_by_role("link", name="Baked salmon with dill and mustard").click()
    number = kept(page)
    page.get_by_label("Method").fill(METHOD)
    kept_beyond(page, number)


def _wipe(folder: Path) -> None:
    """The same server with nothing in its store, as on a new machine."""
    store = open_store(str(folder / "bench.sqlite"))
    wipe(store)
    store.close()


def _nothing_is_kept(page: Page, watch: Watch) -> None:
    watch.expected.append("404")
    page.goto("/dishes/salmon")
    expect(page.get_by_role("heading", level=1)).to_have_text("Not here")


@pytest.mark.usefixtures("first_bench")
def test_taken_out_wiped_and_brought_in_is_the_same(page: Page, tmp_path: Path, watch: Watch) -> None:
    _begin_and_write(page)
    before = _taken(page, "Take out open files")
    assert len(_files(before)) >= 5
    _wipe(tmp_path)
    _nothing_is_kept(page, watch)
    page.goto("/keep")
    page.get_by_label("Files", exact=True).set_input_files(_zip(before))
    page.get_by_role("button", name="Show what they hold").click()
    page.get_by_role("button", name="Bring them in").click()
    page.get_by_role("link", name="To the dishes and plates").click()
    expect(page.get_by_role("link", name="Midsummer supper")).to_be_visible()
    assert _files(_taken(page, "Take out open files")) == _files(before)


@pytest.mark.usefixtures("first_bench")
def test_a_backup_brings_back_every_version(page: Page, tmp_path: Path, watch: Watch) -> None:
    _begin_and_write(page)
    before, files = _taken(page, "Make a backup"), _files(_taken(page, "Take out open files"))
    _wipe(tmp_path)
    _nothing_is_kept(page, watch)
    page.goto("/keep")
    page.get_by_label("Backup file").set_input_files(_zip(before))
    page.get_by_role("button", name="Check the file").click()
    page.get_by_label("To go on, type the word").fill("replace")
    page.get_by_role("button", name="Replace everything").click()
    page.get_by_role("link", name="To the dishes and plates").click()
    assert _files(_taken(page, "Take out open files")) == files
    page.goto("/dishes/salmon/history")
    expect(page.get_by_role("main").get_by_role("heading", level=2)).to_have_count(2)


@pytest.mark.usefixtures("own_bench")
def test_taken_off_and_put_back(page: Page) -> None:
    page.goto("/dishes/lentils/history")
    page.get_by_role("button", name="Take Warm lentils with beetroot off the bench").click()
    expect(page.get_by_role("link", name="Baked salmon with dill and mustard")).to_be_visible()
    expect(page.get_by_role("link", name="Warm lentils with beetroot")).to_have_count(0)
    page.goto("/keep")
    page.get_by_role("button", name="Put Warm lentils with beetroot back").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Warm lentils with beetroot")
