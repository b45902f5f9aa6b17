"""How honest the pooled ranges are: `python -m benchmarks.leave_one_out`.

For every cell with at least three sources (and, for more cells, with at least two) each source is left out in turn, the
rest is pooled, and the left-out mean is looked for in the pooled 90 % range. Also printed: the spread between sources
by analyte and level, from which spreads.csv was rounded.
"""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Iterator

from lowsimmer.domain.foods import Observation
from lowsimmer.reference.composition import observations
from lowsimmer.reference.pooling import pool, voices_of
from lowsimmer.reference.table import sources

SIGNED = "fructose-balance"
PARTS = {"raffinose", "stachyose", "verbascose"}


def left_out(least: int) -> Iterator[tuple[str, bool, float]]:
    """(analyte, inside, ratio of left-out mean to the centre) for every source of every cell with `least` sources."""
    for (_key, analyte), cell in observations().items():
        used = [each for each in cell if each.used and each.pedigree.source != "derived-formula"]
        names = {voice.source for voice in voices_of(used)}
        if len(names) < least or analyte in PARTS:
            continue
        for name in sorted(names):
            yield _one(analyte, used, name)


def _one(analyte: str, used: list[Observation], name: str) -> tuple[str, bool, float]:
    kept = [each for each in used if sources()[each.pedigree.source]["voice"] != name]
    gone = voices_of([each for each in used if sources()[each.pedigree.source]["voice"] == name])[0]
    estimate = pool(kept, signed=analyte == SIGNED)
    assert estimate is not None
    inside = estimate.low - 1e-9 <= gone.value <= estimate.high + 1e-9
    return analyte, inside, gone.value / estimate.value if estimate.value > 0 else math.nan


def main() -> None:
    """Print coverage and spreads."""
    for least in (3, 2):
        found: dict[str, list[bool]] = defaultdict(list)
        for analyte, inside, _ratio in left_out(least):
            found[analyte].append(inside)
        every = [inside for group in found.values() for inside in group]
        print(f"cells with at least {least} sources, left-out means inside: {_share(every)}")
        for analyte in sorted(found):
            print(f"  {analyte:<17}{_share(found[analyte])}")
    _print_spreads()


def _share(inside: list[bool]) -> str:
    return f"{sum(inside)} of {len(inside)}, {sum(inside) / len(inside):.1%}"


def _print_spreads() -> None:
    levels: dict[tuple[str, str], list[float]] = defaultdict(list)
    for (_key, analyte), cell in observations().items():
        voices = voices_of([each for each in cell if each.used and each.pedigree.source != "derived-formula"])
        if len(voices) < 2 or analyte in PARTS | {SIGNED}:
            continue
        mean = statistics.fmean(voice.value for voice in voices)
        level = next((f"below {edge}" for edge in (0.1, 0.5, 2, 6) if mean < edge), "6 and more")
        levels[analyte, level].append(statistics.stdev(voice.value for voice in voices))
    print("sd between sources, g per 100 g (median over cells):")
    for (analyte, level), found in sorted(levels.items()):
        print(f"  {analyte:<17}{level:<12}{statistics.median(found):.3f} in {len(found)} cells")


if __name__ == "__main__":
    main()
