"""Screenshots of every page of the bench with the worked example: python tools/take_screenshots.py.

A server of its own on a temporary store, Debian's Chromium, fixed sizes; the pictures go to docs/pictures/bench.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

PORT = 8499
PLACE = Path(__file__).parents[1] / "docs" / "pictures" / "bench"
PAGES = {
    "kept": "/", "new-dish": "/dishes/new", "dish": "/dishes/lentils", "versions": "/dishes/lentils/history",
    "why": "/dishes/lentils/why/gos", "plate": "/plates/supper", "foods": "/foods?words=dill",
    "food": "/foods/garlic/raw", "figures": "/figures", "source": "/sources/muir2007", "keeping": "/keep",
    "scripts": "/api",
}  # fmt: skip
FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync"]


def main() -> None:
    """Start the server, take every picture, stop it."""
    with tempfile.TemporaryDirectory() as folder:
        words = ["serve", "--demo", "--port", str(PORT), "--rate", "1000", "--store", f"{folder}/a.sqlite"]
        surroundings = os.environ | {"XDG_DATA_HOME": folder}
        server = subprocess.Popen([sys.executable, "-m", "lowsimmer", *words], env=surroundings)
        try:
            _wait()
            with sync_playwright() as playwright:
                take(playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS))
        finally:
            server.terminate()
            server.wait()


def _wait() -> None:
    for _ in range(100):
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{PORT}/").close()
            return
        except OSError:
            time.sleep(0.1)


def take(browser: Browser) -> None:
    """Every page on a desk, three also in the dark and on a phone."""
    PLACE.mkdir(parents=True, exist_ok=True)
    for suffix, size, scheme, names in (
        ("", (1200, 900), "light", list(PAGES)),
        ("-dark", (1200, 900), "dark", ["dish", "plate"]),
        ("-phone", (390, 844), "light", ["dish", "plate"]),
    ):
        page = browser.new_page(viewport={"width": size[0], "height": size[1]})
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        for name in names:
            page.goto(f"http://127.0.0.1:{PORT}{PAGES[name]}")
            page.screenshot(path=PLACE / f"{name}{suffix}.png")
    browser.close()


if __name__ == "__main__":
    main()
