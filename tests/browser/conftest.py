"""A real server and Debian's Chromium. Any request to another machine and any error of a page fails the test."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = shutil.which("chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync"]  # fmt: skip


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests."""
    if CHROMIUM is None:
        pytest.skip("Chromium is not installed (Debian's package chromium)")
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[str]:
    """The address of a bench of its own with the worked example, in a process of its own."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = ["serve", "--demo", "--port", str(port), "--rate", "1000", "--store", str(tmp_path / "a.sqlite")]
    surroundings = os.environ | {"XDG_DATA_HOME": str(tmp_path)}
    with (tmp_path / "log").open("w") as log:
        server = subprocess.Popen([sys.executable, "-m", "lowsimmer", *words], env=surroundings, stdout=log, stderr=log)
        address = f"http://127.0.0.1:{port}"
        _wait_for(address, server)
        yield address
        server.terminate()
        server.wait()


def _wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    for _ in range(150):
        try:
            urllib.request.urlopen(address).close()
            return
        except OSError:
            assert server.poll() is None, "the server stopped"
            time.sleep(0.1)
    raise AssertionError("the server does not answer")


@pytest.fixture
def page(browser: Browser, bench: str) -> Iterator[Page]:
    """A fresh window; what it asks of other machines, and its errors, are looked at in the end."""
    context = browser.new_context(base_url=bench, viewport={"width": 1280, "height": 900})
    made = context.new_page()
    asked: list[str] = []
    trouble: list[str] = []
    context.on("request", lambda request: asked.append(request.url))
    made.on("pageerror", lambda error: trouble.append(str(error)))
    made.on("console", lambda message: trouble.append(message.text) if message.type == "error" else None)
    yield made
    context.close()
    assert [each for each in asked if not each.startswith((bench, "data:", "blob:"))] == []
    assert trouble == []
