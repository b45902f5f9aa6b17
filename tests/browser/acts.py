"""What people do on the pages, as tests say it."""

from __future__ import annotations

import re
import time
from collections.abc import Callable

from playwright.sync_api import Page, expect


def new_dish(page: Page, text: str) -> str:
    """Paste a dish on a new page; gives the address of its page."""
    page.goto("/dishes/new")
    page.get_by_role("textbox").fill(text)
    page.get_by_role("button", name="Put it on the bench").click()
    expect(page).to_have_url(re.compile(r"/dishes/(?!new)[^/]+$"))
    return page.url


def kept(page: Page) -> int:
    """The number of the version that the page says is kept, after it said so."""
    standing = page.locator("#standing")
    expect(standing).to_contain_text(re.compile(r"Version \d+ is kept"))
    found = re.search(r"\d+", standing.inner_text())
    return int(found[0]) if found else 0


def wait_until(true: Callable[[], bool], seconds: float = 15.0) -> None:
    """Ask again until something is true."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.05)


def kept_beyond(page: Page, number: int) -> None:
    """Wait until the page says that a version after `number` is kept."""
    wait_until(lambda: kept(page) > number)
