"""The verbs of the bench as a person runs them: a real server, and what is kept taken out and brought in."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest

from lowsimmer.web import verbs
from lowsimmer.web.guard.headers import SAFE
from tests.cli.helpers import SALAD, run
from tests.test_docs import COMMANDS, keys, words_in_code

PASSWORD = "rye bread and dill"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder, with data of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("LOWSIMMER_STORE", raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def salad(folder: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A bench with one dish."""
    (folder / "salad.md").write_text(SALAD, encoding="utf-8")
    assert run(capsys, "import", "salad.md", "--yes").status == 0
    return folder


@contextmanager
def serving(*words: str) -> Iterator[tuple[subprocess.Popen[str], Any]]:
    """A real server: its process, and what it said at its start as --json."""
    command = [sys.executable, "-m", "lowsimmer", "serve", "--port", "0", "--json", *words]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=os.environ)
    assert process.stdout is not None
    try:
        yield process, json.loads(process.stdout.readline() or "null")
    finally:
        process.kill()
        process.communicate()


def no_page(address: str) -> bytes:
    """What comes back for something that is no HTTP."""
    host, port = address.removeprefix("http://").rstrip("/").split(":")
    with socket.create_connection((host, int(port)), timeout=10) as made:
        made.sendall(b"no such thing as a request\r\n\r\n")
        return b"".join(iter(lambda: made.recv(65536), b""))


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_server_starts_answers_and_stops_in_order(folder: Path, number: signal.Signals) -> None:
    with serving("--demo") as (process, said):
        assert said == {
            "address": said["address"],
            "store": str(folder / "data/lowsimmer/bench.sqlite"),
            "password": False,
        }
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", said["address"])
        page = httpx.get(
            said["address"] + "dishes/salmon?words=private", headers={"User-Agent": "Mrs Brown"}, timeout=60
        )
        assert page.status_code == 200
        assert {name: page.headers.get(name) for name in SAFE} == SAFE
        assert "server" not in page.headers
        process.send_signal(number)
        out, err = process.communicate(timeout=30)
    assert (process.returncode, out) == (0, "")
    line, last = err.strip().splitlines()
    assert re.fullmatch(r"GET /dishes/\{name\} 200 \d+ ms", line)
    assert last == "Stopped. Everything that was acknowledged is kept."


def test_what_is_no_http_is_refused_with_the_same_headers() -> None:
    with serving("--empty") as (_process, said):
        answer = no_page(said["address"]).decode()
    assert answer.startswith("HTTP/1.1 400 ")
    assert all(f"{name}: {value}\r\n".lower() in answer.lower() for name, value in SAFE.items())
    assert "no such thing" not in answer


def test_a_body_in_chunks_is_cut_off_by_a_real_server() -> None:
    with serving("--empty") as (_process, said):
        pieces = (b"x" * 65536 for _ in range(40))
        own = {"Origin": said["address"].rstrip("/"), "Content-Type": "application/x-www-form-urlencoded"}
        answer = httpx.post(said["address"] + "dishes/new", content=pieces, headers=own, timeout=60)
        assert answer.status_code == 413
        assert httpx.get(said["address"], timeout=60).status_code == 200


def test_a_taken_port_ends_with_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        answer = run(capsys, "serve", "--port", str(other.getsockname()[1]))
    assert (answer.status, answer.out, answer.err.count("\n")) == (2, "", 1)
    assert "try another --port" in answer.err


@pytest.mark.parametrize("words", [["--host", "0.0.0.0"], ["--host", "192.168.1.7"], ["--allow-host", "bench.local"]])
def test_beyond_this_machine_nothing_starts_without_a_password(
    folder: Path, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    answer = run(capsys, "serve", *words)
    assert (answer.status, answer.out) == (2, "")
    assert "without a password. Set one first: lowsimmer serve --set-password." in answer.err
    assert list(folder.iterdir()) == []


def test_demo_and_empty_exclude_each_other(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "serve", "--demo", "--empty").status == 2


def typing(monkeypatch: pytest.MonkeyPatch, *typed: str) -> None:
    """Somebody at a terminal, who types these passwords."""
    waiting = list(typed)

    def asked(_prompt: str) -> str:
        if not waiting:
            raise EOFError
        return waiting.pop(0)

    monkeypatch.setattr(verbs, "getpass", asked)


def test_a_password_is_typed_twice(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for typed in ([PASSWORD, PASSWORD + "!"], ["short", "short"], [PASSWORD]):
        typing(monkeypatch, *typed)
        answer = run(capsys, "serve", "--set-password")
        assert (answer.status, PASSWORD in answer.err) == (2, False)
        assert not (folder / "data").exists()
    typing(monkeypatch, PASSWORD, PASSWORD)
    answer = run(capsys, "serve", "--set-password", "--json")
    assert (answer.status, answer.record()) == (0, {"password": True})
    with serving() as (_process, said):
        assert said["password"] is True
        page = httpx.get(said["address"], headers={"Accept": "text/html"}, timeout=60)
        assert (page.status_code, page.headers["location"]) == (303, "/sign-in")


# Keeping


def test_a_backup_and_back(salad: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = run(capsys, "backup", "all.zip", "--json").record()
    assert (made["file"], made["documents"], made["versions"]) == ("all.zip", 1, 1)
    asked = run(capsys, "restore", "all.zip", "--store", "other.sqlite")
    assert (asked.status, asked.out, (salad / "other.sqlite").exists()) == (2, "", False)
    assert "1 documents, 1 versions" in asked.err
    assert "--yes" in asked.err
    restored = run(capsys, "restore", "all.zip", "--store", "other.sqlite", "--yes", "--json").record()
    assert restored == made
    assert run(capsys, "export", "out", "--store", "other.sqlite", "--json").record()["files"] == ["kitchen/salad.md"]
    assert (salad / "out/kitchen/salad.md").read_text(encoding="utf-8") == SALAD


def test_a_damaged_backup_changes_nothing(salad: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(capsys, "backup", "all.zip")
    data = bytearray((salad / "all.zip").read_bytes())
    data[len(data) // 2] ^= 255
    (salad / "all.zip").write_bytes(data)
    answer = run(capsys, "restore", "all.zip", "--yes")
    assert (answer.status, answer.out, answer.err.count("\n")) == (2, "", 1)
    assert run(capsys, "export", "out", "--json").record()["files"] == ["kitchen/salad.md"]


@pytest.mark.parametrize("words", [["backup", "all.zip"], ["export", "out"], ["export", "out.zip"]])
def test_a_store_that_is_not_there_is_not_made_up(
    folder: Path, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    answer = run(capsys, *words, "--store", "mistyped.sqlite")
    assert (answer.status, "There is no bench in 'mistyped.sqlite'" in answer.err) == (2, True)
    assert list(folder.iterdir()) == []


def test_a_backup_never_takes_the_place_of_the_store(salad: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, "backup", "data/lowsimmer/bench.sqlite")
    assert (answer.status, "is the store itself" in answer.err) == (2, True)
    assert run(capsys, "export", "out").status == 0


def test_an_export_as_a_zip_comes_back_and_replaces_no_file(salad: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "export", "out.zip", "--json").record()["files"] == ["kitchen/salad.md"]
    again = run(capsys, "export", "out.zip")
    assert (again.status, "cannot be written: file exists" in again.err) == (2, True)
    shown = run(capsys, "import", "out.zip", "--json").record()
    assert [each["standing"] for each in shown["looked_at"]] == ["same as kept"]
    brought = run(capsys, "import", "out.zip", "--store", "other.sqlite", "--yes", "--json").record()["brought"]
    assert brought == {"take": 1, "keep both": 0, "new version": 0, "leave": 0}


def test_an_import_shows_first_and_changes_nothing(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "in").mkdir()
    (folder / "in/salad.md").write_text(SALAD, encoding="utf-8")
    (folder / "in/figures.csv").write_text("no,such,columns\n1,2,3\n", encoding="utf-8")
    shown = run(capsys, "import", "in")
    assert "salad.md: new, take." in shown.out
    assert "figures.csv: not usable, leave." in shown.out
    assert shown.out.endswith("Nothing was changed; add --yes to bring them in.\n")
    assert run(capsys, "import", "in", "--json").record()["brought"] is None
    assert run(capsys, "import", "in", "--yes").out.endswith("1 brought in, 1 left out.\n")
    assert run(capsys, "import", "in", "--yes").out.endswith("0 brought in, 2 left out.\n")


@pytest.mark.parametrize(
    "words", [["import", "nothing.md"], ["restore", "nothing.zip"], ["backup", "no/folder/all.zip"]]
)
def test_what_is_not_there_is_said_in_one_sentence(
    salad: Path, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    answer = run(capsys, *words)
    assert (answer.status, answer.out, answer.err.count("\n")) == (2, "", 1)


def test_every_key_of_the_bench_is_on_the_page(salad: Path, capsys: pytest.CaptureFixture[str]) -> None:
    known = words_in_code(COMMANDS) | {"keep both", "new version"}  # these two are words, not one word
    for words in (["backup", "a.zip"], ["restore", "a.zip", "--yes"], ["export", "out"], ["import", "out", "--yes"]):
        assert set(keys(run(capsys, *words, "--json").record())) <= known
    assert {"address", "store", "password"} <= known


def test_help_of_the_whole_answers_at_once() -> None:
    took = []
    for _ in range(3):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-m", "lowsimmer", "serve", "--help"], check=True, capture_output=True)
        took.append(time.perf_counter() - began)
    assert min(took) < 0.5
