"""The bench under load: 2,000 dishes, a server process of its own, one and two clients; medians and 95 % points.

Run: python -m benchmarks.load. The static file is the floor: what the server costs without any work of ours. The
server's limit of requests is lifted, for one machine plays all the clients.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
from tests.browser.server import running_bench

from lowsimmer.reference.catalogue import foods
from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import open_store

DISHES, ROUNDS, LINES = 2000, 300, 8
Act = Callable[[httpx.Client, random.Random], float]


NAMES = [each.label for each in foods().values()]


def row(dice: random.Random) -> str:
    """One ingredient line: a food of the catalogue by its label."""
    return f"{dice.randrange(5, 400)} g {dice.choice(NAMES)}"


def fill(where: str) -> None:
    """Two thousand dishes of eight lines each, the same ones every time."""
    store, dice = open_store(where), random.Random(1)
    for number in range(DISHES):
        lines = "\n".join(row(dice) for _ in range(LINES))
        text = f"---\ntitle: Dish {number}\nserves: {dice.randrange(1, 9)}\n---\n## Ingredients\n{lines}\n"
        store.create(DocumentKind.DISH, f"dish {number}", text, "benchmark")
    store.set_setting("started", "empty")
    store.close()


def _timed(work: Callable[[], httpx.Response]) -> float:
    """Seconds until the whole answer is there."""
    began = time.perf_counter()
    work().raise_for_status()
    return time.perf_counter() - began


def _some(dice: random.Random) -> str:
    return f"/dishes/dish-{dice.randrange(DISHES)}"


def floor(client: httpx.Client, _dice: random.Random) -> float:
    """A file as it lies there."""
    return _timed(lambda: client.get("/static/mark.svg"))


def line(client: httpx.Client, dice: random.Random) -> float:
    """The answer to one line alone."""
    text = row(dice)
    return _timed(lambda: client.post("/api/v1/read", json={"text": text}))


def edit(client: httpx.Client, dice: random.Random) -> float:
    """What each pause in typing costs: the edit kept, every line answered, the dish judged."""
    name = _some(dice)
    head = client.get(f"/api/v1{name}").json()["version"]
    typed = {"base": str(head), "ingredients": "\n".join(row(dice) for _ in range(LINES))}
    return _timed(lambda: client.post(name, data=typed, headers={"Accept": "application/json"}))


def page(client: httpx.Client, dice: random.Random) -> float:
    """The whole page of a dish picked at random, so that little of it is remembered."""
    name = _some(dice)
    return _timed(lambda: client.get(name))


def measure(what: Act, clients: int, base: str) -> list[float]:
    """The times of all requests in seconds; each client asks again as soon as it is answered."""

    def one(seed: int) -> list[float]:
        dice = random.Random(seed)
        with httpx.Client(base_url=base, headers={"Origin": base}, timeout=60) as client:
            return [what(client, dice) for _ in range(ROUNDS)]

    with ThreadPoolExecutor(clients) as pool:
        return [each for times in pool.map(one, range(clients)) for each in times]


def main() -> None:
    """Fill, serve, measure, print a table."""
    with tempfile.TemporaryDirectory() as folder:
        began = time.perf_counter()
        fill(str(Path(folder) / "bench.sqlite"))
        print(f"{DISHES} dishes of {LINES} lines kept in {time.perf_counter() - began:.1f} s", file=sys.stderr)
        with running_bench(Path(folder)) as base:
            measure(page, 1, base)  # the first answers load the catalogue
            print("| clients | request | p50, ms | p95, ms |\n|---:|---|---:|---:|")
            for clients in (1, 2):
                for what in (floor, line, edit, page):
                    points = statistics.quantiles(measure(what, clients, base), n=100)
                    print(f"| {clients} | {what.__name__} | {points[49] * 1000:.1f} | {points[94] * 1000:.1f} |")


if __name__ == "__main__":
    main()
