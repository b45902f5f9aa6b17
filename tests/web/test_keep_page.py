"""Keeping: out and in again, backup and restore in two steps, files shown before they are kept, jobs, the check."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from io import BytesIO
from zipfile import ZipFile

import pytest
from starlette.testclient import TestClient

from lowsimmer.domain.errors import InputError
from lowsimmer.store.keeping import wipe
from lowsimmer.store.records import DocumentKind, Edit
from lowsimmer.store.store import Store
from lowsimmer.web.jobs import MOST_JOBS, Job, Jobs, Shelf

DISH, PLATE = DocumentKind.DISH, DocumentKind.PLATE
NEW = "---\ntitle: Plain rice\nserves: 2\n---\n## Ingredients\n- 150 g white rice\n"
RECIPE = '{"@type": "Recipe", "name": "Oat cakes", "recipeYield": "4", "recipeIngredient": ["100 g oats"]}'


def unpacked(data: bytes) -> dict[str, bytes]:
    """The files of a zip."""
    with ZipFile(BytesIO(data)) as packed:
        return {each: packed.read(each) for each in packed.namelist()}


def send(client: TestClient, *files: tuple[str, bytes | str]) -> str:
    """Files sent to be looked at; the page that shows them."""
    return str(client.post("/keep/import", files=[("files", each) for each in files]).text)


def bring(client: TestClient, page: str, **choices: str) -> str:
    """The files of a page brought in; the page of the finished job."""
    action = re.search(r'action="(/keep/import/[^"]+)"', page)
    assert action
    return finished(client, client.post(action[1], data=choices or {"": ""}).url.path)


def finished(client: TestClient, job: str) -> str:
    """The page of a job once it is done."""
    for _ in range(200):
        page = str(client.get(job).text)
        if 'role="status"' in page:
            return page
        time.sleep(0.02)
    raise AssertionError("the job does not end")


def test_the_page_offers_everything(client: TestClient) -> None:
    page = client.get("/keep").text
    for words in ("Bring files in", "Take out open files", "Make a backup", "Restore a backup", "Look it through"):
        assert words in page
    assert "the file a.sqlite" in page
    assert "4 dishes" in page
    assert "/tmp" not in page
    assert page.count("<h1") == 1


def test_what_is_taken_out_comes_in_again(client: TestClient, store: Store) -> None:
    out = client.get("/keep/export")
    assert re.search(r'attachment; filename="lowsimmer-files-\d{4}-\d\d-\d\d\.zip"', out.headers["content-disposition"])
    wipe(store)
    bring(client, send(client, ("kept.zip", out.content)))
    assert unpacked(client.get("/keep/export").content) == unpacked(out.content)


def test_files_are_shown_before_anything_is_kept(client: TestClient, store: Store) -> None:
    kept = store.head(DISH, "salmon").text
    page = send(
        client,
        ("rice.md", NEW),
        ("salmon.md", kept),
        ("lentils.md", NEW.replace("150", "160")),
        ("crumble-too.md", store.head(DISH, "crumble").text + "\n\n"),
        ("oats.json", RECIPE),
        ("picture.png", b"\x89PNG\x00"),
        ("broken.yaml", "title: ["),
    )
    for words in ("New ", "Same as kept", "Name taken", "Alike", "Not usable", "This kind of file is not read."):
        assert words in page
    assert store.count(DISH) == 4


def test_files_are_brought_in_as_chosen(client: TestClient, store: Store) -> None:
    other = store.head(DISH, "salmon").text.replace("title: ", "title: Other ")
    files = (("rice.md", NEW), ("salmon.md", other), ("lentils.md", other), ("potatoes.md", other))
    page = send(client, *files)
    choices = {"choice-1": "new version", "choice-2": "keep both", "choice-3": "leave"}
    result = bring(client, page, **choices)
    assert "3 brought in, 1 left out." in result
    assert store.head(DISH, "rice").text == NEW
    assert (store.head(DISH, "salmon").number, store.head(DISH, "salmon").text) == (2, other)
    assert store.head(DISH, "lentils-2").text == other
    assert store.head(DISH, "potatoes").number == 1


def test_a_form_sent_twice_does_its_work_once(client: TestClient, store: Store) -> None:
    page = send(client, ("rice.md", NEW))
    bring(client, page)
    action = re.search(r'action="(/keep/import/[^"]+)"', page)
    assert action
    assert client.post(action[1], data={"": ""}).status_code == 400
    assert store.count(DISH) == 5


def test_recipe_data_becomes_a_dish(client: TestClient, store: Store) -> None:
    bring(client, send(client, ("any.json", RECIPE)))
    assert "100 g oats" in store.head(DISH, "oat-cakes").text


@pytest.mark.parametrize(
    ("address", "field"), [("/keep/import", "files"), ("/keep/restore", "file")]
)  # a form sent empty, and one with a broken file
def test_what_cannot_be_used_is_said_on_the_page(client: TestClient, address: str, field: str) -> None:
    empty = client.post(address, files=[(field, ("", b""))])
    assert empty.status_code == 422
    assert "No file was chosen" in empty.text
    broken = client.post(address, files=[(field, ("a.zip", b"PK\x03\x04broken"))])
    assert broken.status_code == 422
    assert 'role="alert"' in broken.text


def test_a_zip_of_too_many_files_is_refused(client: TestClient) -> None:
    data = BytesIO()
    with ZipFile(data, "w") as packed:
        for number in range(2001):
            packed.writestr(f"{number}.md", "")
    reply = client.post("/keep/import", files=[("files", ("many.zip", data.getvalue()))])
    assert reply.status_code == 422
    assert "too much at once" in reply.text


def test_many_files_at_once_are_shown_and_chosen(client: TestClient, store: Store) -> None:
    page = send(client, *((f"dish-{number}.md", NEW.replace("Plain", f"Plain {number}")) for number in range(1100)))
    assert page.count("<fieldset") == 1100
    bring(client, page, **{f"choice-{number}": "leave" for number in range(1, 1100)})
    assert store.count(DISH) == 5


# Backup and restore


def backup_of(client: TestClient) -> bytes:
    """A backup as it is downloaded."""
    reply = client.get("/keep/backup")
    assert "lowsimmer-backup-" in reply.headers["content-disposition"]
    return bytes(reply.content)


def restore_page(client: TestClient, data: bytes) -> tuple[str, str]:
    """A backup sent to be checked; the address and the text of its page."""
    reply = client.post("/keep/restore", files=[("file", ("kept.zip", data))])
    assert reply.status_code == 200
    return reply.url.path, reply.text


def test_a_backup_comes_back_with_every_version(client: TestClient, store: Store) -> None:
    store.edit(Edit(DISH, "salmon", 1, NEW, "test"))
    data = backup_of(client)
    wipe(store)
    address, page = restore_page(client, data)
    assert "kept.zip, made " in page
    assert "5 documents" in page
    assert "6 versions" in page
    result = finished(client, client.post(address, data={"word": " Replace "}).url.path)
    assert "Everything was replaced" in result
    assert [each.number for each in store.history(DISH, "salmon")] == [2, 1]


def test_nothing_is_replaced_before_the_word_is_typed(client: TestClient, store: Store) -> None:
    data = backup_of(client)
    store.create(DISH, "rice", NEW, "test")
    address, _ = restore_page(client, data)
    for typed in ("", "yes"):
        reply = client.post(address, data={"word": typed})
        assert reply.status_code == 422
        assert "nothing was replaced" in reply.text
    assert store.count(DISH) == 5
    finished(client, client.post(address, data={"word": "replace"}).url.path)
    assert store.count(DISH) == 4


def test_a_damaged_backup_is_refused(client: TestClient, store: Store) -> None:
    data = backup_of(client)
    reply = client.post("/keep/restore", files=[("file", ("kept.zip", data[: len(data) // 2]))])
    assert reply.status_code == 422
    assert "not a whole backup" in reply.text
    assert store.count(DISH) == 4


# Removed, and the check


def test_what_was_taken_off_is_put_back(client: TestClient, store: Store) -> None:
    store.remove(DISH, "salmon", "test")
    assert "Put Baked salmon with dill and mustard back" in client.get("/keep").text
    client.post("/keep/put-back", data={"kind": "dish", "name": "salmon"})
    assert store.get(DISH, "salmon").removed_at is None
    assert client.post("/keep/put-back", data={"kind": "nothing", "name": "x"}).status_code == 400
    assert client.post("/keep/put-back", data={"kind": "dish", "name": "nowhere"}).status_code == 404


def test_the_store_is_looked_through(client: TestClient, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "Sound:" in client.get("/keep/check").text
    monkeypatch.setattr(store, "check", lambda: ["dish salmon has no version 7"])
    page = client.get("/keep/check").text
    assert "Something is wrong." in page
    assert "dish salmon has no version 7" in page


# Jobs


def ended(jobs: Jobs, work: Callable[[Job], tuple[str, ...]]) -> Job:
    """A job once it is done."""
    job = jobs.get(jobs.start("Work", work))
    for _ in range(200):
        if job.finished:
            return job
        time.sleep(0.01)
    raise AssertionError("the job does not end")


def test_a_job_tells_how_far_it_is_and_can_be_stopped(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(_store: object, _incoming: object, _choices: object, _writer: object, watch: object) -> object:
        watch.progress(3, 10)  # type: ignore[attr-defined]
        while not watch.stop():  # type: ignore[attr-defined]
            time.sleep(0.01)
        return type("Done", (), {"words": "Stopped: 3 brought in."})()

    monkeypatch.setattr("lowsimmer.web.pages.keep.bring", slow)
    page = send(client, ("rice.md", NEW))
    action = re.search(r'action="(/keep/import/[^"]+)"', page)
    assert action
    job = client.post(action[1], data={"": ""}).url.path
    time.sleep(0.05)
    shown = client.get(job).text
    assert "3 of 10 are done." in shown
    assert '<progress id="progress" max="10" value="3">' in shown
    piece = client.get(job, headers={"HX-Request": "true"}).text
    assert "<html" not in piece
    assert "hx-get" in piece
    client.post(f"{job}/stop")
    assert "Stopped: 3 brought in." in finished(client, job)
    assert "hx-get" not in client.get(job).text


def test_a_job_that_fails_says_so(recwarn: pytest.WarningsRecorder) -> None:
    def refused(_job: Job) -> tuple[str, ...]:
        raise InputError("That is no backup.", "Use another.")

    job = ended(Jobs(), refused)
    assert job.trouble == "That is no backup. Use another."
    assert not recwarn.list


def test_old_jobs_make_room(client: TestClient) -> None:
    jobs = Jobs()
    first = jobs.start("Work", lambda _job: ())
    for _ in range(MOST_JOBS):
        jobs.start("Work", lambda _job: ())
    with pytest.raises(InputError):
        jobs.get(first)
    assert client.get("/keep/jobs/nothing").status_code == 400


def test_a_shelf_holds_a_few_things_and_gives_each_once() -> None:
    shelf = Shelf[str](2)
    keys = [shelf.put(each) for each in ("a", "b", "c")]
    with pytest.raises(InputError):
        shelf.get(keys[0])
    assert shelf.take(keys[2]) == "c"
    with pytest.raises(InputError):
        shelf.take(keys[2])
