"""Screenshots of every page of the bench with the worked example: python -m tools.take_screenshots.

A server of its own on a temporary store, Debian's Chromium, fixed sizes; the pictures go to docs/pictures/bench.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright
from tests.browser.server import running_bench

PLACE = Path(__file__).parents[1] / "docs" / "pictures" / "bench"
PAGES = {
    "kept": "/", "new-dish": "/dishes/new", "dish": "/dishes/lentils", "versions": "/dishes/lentils/history",
    "why": "/dishes/lentils/why/gos", "new-plate": "/plates/new", "plate": "/plates/supper",
    "plate-why": "/plates/supper/why/fructan", "foods": "/foods?words=dill", "food": "/foods/garlic/raw",
    "figures": "/figures", "sources": "/sources", "source": "/sources/muir2007", "keeping": "/keep", "scripts": "/api",
}  # fmt: skip
LOOKS = (
    ("", (1200, 900), "light", tuple(PAGES)),
    ("-dark", (1200, 900), "dark", ("dish", "plate", "why")),
    ("-phone", (390, 844), "light", ("kept", "dish", "plate", "why")),
)  # ending of the file, size in pixels, look, pages
FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync",
         "--font-render-hinting=none", "--force-color-profile=srgb", "--disable-lcd-text"]  # fmt: skip


def main() -> None:
    """Start the server, take every picture, stop it."""
    folder = tempfile.TemporaryDirectory()
    with folder as place, running_bench(Path(place), "--demo") as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        take(browser, address)
        browser.close()


def take(browser: Browser, address: str) -> None:
    """Every page on a desk, some also in the dark and on a phone: the part that stands on the screen at first."""
    PLACE.mkdir(parents=True, exist_ok=True)
    for ending, (width, height), look, names in LOOKS:
        page = browser.new_page(viewport={"width": width, "height": height}, reduced_motion="reduce")
        page.emulate_media(color_scheme="dark" if look == "dark" else "light")
        for name in names:
            page.goto(f"{address}{PAGES[name]}", wait_until="networkidle")
            page.evaluate("document.fonts.ready.then(() => true)")
            page.screenshot(path=PLACE / f"{name}{ending}.png", animations="disabled", caret="hide")
        page.close()


if __name__ == "__main__":
    main()
