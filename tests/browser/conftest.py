"""A real server and Debian's Chromium. Any request to another machine and any error of a page fails the test."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.server import running_bench
from tests.browser.watch import Watch

CHROMIUM = shutil.which("chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync",
         "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"]  # fmt: skip
PATIENCE = 15_000  # milliseconds until something must show; the machine may be busy with other tests

expect.set_options(timeout=PATIENCE)


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """One browser for this folder, closed after its last test: its event loop would be in the way of other tests."""
    if CHROMIUM is None:
        pytest.skip("Chromium is not installed (Debian's package chromium)")
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


@pytest.fixture(scope="package")
def shared_bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A bench with the worked example, for tests that leave it as it is and write only dishes of their own."""
    with running_bench(tmp_path_factory.mktemp("bench"), "--demo") as address:
        yield address


@pytest.fixture
def own_bench(tmp_path: Path) -> Iterator[str]:
    """A bench with the worked example for one test alone."""
    with running_bench(tmp_path, "--demo") as address:
        yield address


@pytest.fixture
def first_bench(tmp_path: Path) -> Iterator[str]:
    """A bench that was never used."""
    with running_bench(tmp_path) as address:
        yield address


@pytest.fixture
def home(request: pytest.FixtureRequest) -> str:
    """The address of the bench that the test asked for; the shared one where it asked for none."""
    own = [each for each in ("own_bench", "first_bench") if each in request.fixturenames]
    return str(request.getfixturevalue(own[0] if own else "shared_bench"))


@pytest.fixture
def watch(home: str) -> Iterator[Watch]:
    """What the pages of a test ask for and complain of; the test fails when there is anything."""
    made = Watch(home)
    yield made
    assert made.trouble() == []


@pytest.fixture
def contexts(browser: Browser, home: str, watch: Watch) -> Iterator[Callable[[], BrowserContext]]:
    """Makes browser contexts: people with a browser each, of which nothing is remembered."""
    made: list[BrowserContext] = []

    def fresh() -> BrowserContext:
        size = {"width": 1280, "height": 900}
        context = browser.new_context(base_url=home, viewport=size, service_workers="block")  # type: ignore[arg-type]
        context.set_default_timeout(PATIENCE)
        watch.over(context)
        made.append(context)
        return context

    yield fresh
    for each in made:
        each.close()


@pytest.fixture
def page(contexts: Callable[[], BrowserContext]) -> Page:
    """A fresh window."""
    return contexts().new_page()
