"""Speed of `read` and of `assess`, measured side by side in one run: `python -m benchmarks.speed`.

Lines a second: the labelled lines, each read once a round, no cache between lines. The library reader stands beside
it where it is installed and can run (it needs a tagger that its user must supply). Assess: a dish of 15 lines, 10,000
draws, everything already loaded. Times are of this machine; the ratio is what carries over.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from pathlib import Path

from tests.lines.score import scored

from lowsimmer.loads.assess import assess_dish
from lowsimmer.measuring.weigh import items_of
from lowsimmer.reading.dish import read_dish
from lowsimmer.reading.line import reader

ROUNDS = 25


def per_second(work: Callable[[str], object], lines: list[str], rounds: int = ROUNDS) -> float:
    """The best number of lines a second over the rounds, by processor time.

    The best, for other work on the machine can only slow a round down.
    """
    rates = []
    for _ in range(rounds):
        start = time.process_time()
        for line in lines:
            work(line)
        rates.append(len(lines) / (time.process_time() - start))
    return max(rates)


def library_reader() -> Callable[[str], object] | None:
    """The registry's reader, or None with the reason printed."""
    try:
        from ingredient_parser import parse_ingredient

        parse_ingredient("2 cups flour")
    except Exception as error:  # it may be missing, or miss its tagger: both only mean 'not measured'
        print(f"library reader: not measured ({type(error).__name__})")
        return None
    return parse_ingredient  # type: ignore[no-any-return]


def main() -> None:
    """Print the figures."""
    lines = [each.row["line"] for each in scored()]
    ours = per_second(reader().read, lines)
    print(f"read, lines to records: {ours:,.0f} lines a second")
    print(
        f"read, match and weigh:  {per_second(lambda line: items_of(reader().read(line)), lines):,.0f} lines a second"
    )
    library = library_reader()
    if library is not None:
        theirs = per_second(library, lines[:100], 1)
        print(f"library reader:         {theirs:,.0f} lines a second; ratio {ours / theirs:,.0f}")
    dish = read_dish((Path(__file__).parent / "dish15.md").read_text(encoding="utf-8"), "dish15.md")
    assess_dish(dish)
    times = []
    for _ in range(3 * ROUNDS):
        start = time.perf_counter()
        assess_dish(dish)
        times.append(1000 * (time.perf_counter() - start))
    middle, best = statistics.median(times), min(times)
    print(f"assess, {len(dish.lines)} lines, 10,000 draws: median {middle:.1f} ms, best {best:.1f} ms")


if __name__ == "__main__":
    main()
