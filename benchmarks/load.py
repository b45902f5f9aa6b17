"""The bench under load: 2,000 dishes, a server of its own, one or two clients in this process; medians and 95 % points.

Run: python -m benchmarks.load. The static file is the floor: what the server costs without any work of ours.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import httpx

from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import open_store

PORT, DISHES, ROUNDS = 8498, 2000, 300
BASE = f"http://127.0.0.1:{PORT}"
NAMES = ("rice", "carrots", "courgettes", "olive oil", "quark", "dill", "potatoes", "walnuts", "oats", "eggs", "butter")


def fill(where: str) -> None:
    """Two thousand dishes of eight lines each, the same ones every time."""
    store, dice = open_store(where), random.Random(1)
    for number in range(DISHES):
        lines = "\n".join(f"{dice.randrange(5, 400)} g {dice.choice(NAMES)}" for _ in range(8))
        text = f"---\ntitle: Dish {number}\nserves: 4\n---\n## Ingredients\n{lines}\n"
        store.create(DocumentKind.DISH, f"dish {number}", text, "benchmark")
    store.set_setting("started", "empty")
    store.close()


def edit(client: httpx.Client, dice: random.Random) -> None:
    """What each pause in typing costs: the edit kept, every line answered, the dish judged."""
    name = f"/dishes/dish-{dice.randrange(DISHES)}"
    head = client.get(f"/api/v1{name}").json()["number"]
    began = time.perf_counter()
    given = {"base": str(head), "ingredients": "\n".join(f"{dice.randrange(400)} g {each}" for each in NAMES[:8])}
    client.post(name, data=given, headers={"Accept": "application/json"}).raise_for_status()
    TIMES.append(time.perf_counter() - began)


def lines(client: httpx.Client, dice: random.Random) -> None:
    """The answer to one line alone."""
    _timed(client, "POST", "/api/v1/read", {"text": f"{dice.randrange(400)} g {dice.choice(NAMES)}"})


def page(client: httpx.Client, dice: random.Random) -> None:
    """A whole dish page."""
    _timed(client, "GET", f"/dishes/dish-{dice.randrange(DISHES)}")


def floor(client: httpx.Client, _dice: random.Random) -> None:
    """A file as it lies there."""
    _timed(client, "GET", "/static/mark.svg")


TIMES: list[float] = []


def _timed(client: httpx.Client, method: str, path: str, json: object = None) -> None:
    began = time.perf_counter()
    client.request(method, path, json=json).raise_for_status()
    TIMES.append(time.perf_counter() - began)


def measure(what: Callable[[httpx.Client, random.Random], None], clients: int) -> tuple[float, float]:
    """Median and 95 % point in milliseconds."""
    TIMES.clear()

    def one(seed: int) -> None:
        dice = random.Random(seed)
        with httpx.Client(base_url=BASE, headers={"Origin": BASE}) as client:
            for _ in range(ROUNDS):
                what(client, dice)

    with ThreadPoolExecutor(clients) as pool:
        list(pool.map(one, range(clients)))
    points = statistics.quantiles(TIMES, n=100)
    return points[49] * 1000, points[94] * 1000


def main() -> None:
    """Fill, serve, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        fill(f"{folder}/a.sqlite")
        words = ["serve", "--port", str(PORT), "--rate", "100000", "--store", f"{folder}/a.sqlite"]
        surroundings = os.environ | {"XDG_DATA_HOME": folder}
        server = subprocess.Popen(
            [sys.executable, "-m", "lowsimmer", *words], env=surroundings, stderr=subprocess.DEVNULL
        )
        try:
            time.sleep(5)
            for clients in (1, 2):
                for what in (floor, lines, edit, page):
                    middle, most = measure(what, clients)
                    print(f"{clients} client(s)  {what.__name__:<6} p50 {middle:7.1f} ms  p95 {most:7.1f} ms")
        finally:
            server.terminate()
            server.wait()


if __name__ == "__main__":
    main()
