"""From several published figures to one estimate with a range.

A cell of the catalogue is one food, form and analyte. Each *source* speaks once: several rows of one source are
averaged first, so that a table with ten cultivars does not outvote nine papers. Editions of one table are one
source (`voice` in sources.csv).

- centre: the median of the source means from three sources on, their weighted mean below that; a recalled
  figure weighs half of one that was read;
- spread between sources: kept, not averaged away, because the next purchase is another cultivar and another lab;
- spread within a source: its own sd, else its printed range taken as 90 %, else 25 % of the value; never under 15 %,
  because many printed ranges are only the rounding of the table (both shares: common practice, no source);
- one source alone: the spread is widened by 1.3; recalled only: by 1.5.

The range is the centre plus and minus 1.645 standard deviations, cut off at zero. Not-detected figures are zeros with
the detection limit as upper bound.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lowsimmer.domain.foods import Estimate, Observation
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.reference.table import sources

Z90 = 1.6448536269514722  # standard normal quantile of 0.95
SCATTER = 0.25  # of the value, where a source gives no spread of its own
LEAST = 0.15  # of the value, whatever a source gives
ALONE = 1.3
RECALLED = 1.5
UNSTATED_LIMIT = 0.05  # g per 100 g: half the last printed digit of the usual tables


@dataclass(frozen=True, slots=True)
class Voice:
    """What one source says of one cell: mean, its own spread (sd), and its weight."""

    source: str
    value: float
    spread: float
    weight: float


def pool(observations: Sequence[Observation], signed: bool = False) -> Estimate | None:
    """The estimate of one cell from its observations; None when none of them is used.

    `signed` is for the fructose balance, which may lie below zero.
    """
    used = [each for each in observations if each.used]
    if not used:
        return None
    voices = [_voice(source, rows) for source, rows in _by_source(used).items()]
    centre = _centre(voices)
    spread = _spread(voices, centre) * _widening(voices, used)
    low, high = centre - Z90 * spread, centre + Z90 * spread
    if signed:
        low, high = _within_figures(used, low, high)
    else:
        low = max(0.0, low)
        high = max(high, _bound_of_traces(used, centre))
    return Estimate(
        centre, max(low, -100.0), min(high, 100.0), _grade(used), _reason(voices, used), tuple(observations)
    )


def _by_source(observations: Iterable[Observation]) -> dict[str, list[Observation]]:
    grouped: dict[str, list[Observation]] = {}
    for each in observations:
        grouped.setdefault(sources()[each.pedigree.source]["voice"], []).append(each)
    return grouped


def _voice(source: str, rows: list[Observation]) -> Voice:
    values = [row.value for row in rows]
    own = statistics.fmean(_own_spread(row) for row in rows)
    across = statistics.stdev(values) if len(values) > 1 else 0.0
    seen = any(row.pedigree.evidence is not Evidence.MEMORY for row in rows)
    return Voice(source, statistics.fmean(values), math.hypot(own, across), 1.0 if seen else 0.5)


def _own_spread(row: Observation) -> float:
    if row.analyte == "fructose-balance" and row.sd is not None:
        return row.sd
    return max(_stated_spread(row), LEAST * abs(row.value))


def _stated_spread(row: Observation) -> float:
    if row.sd is not None:
        return row.sd
    if row.low is not None and row.high is not None and row.high > row.low and row.qualifier not in {"nd", "tr"}:
        return (row.high - row.low) / (2 * Z90)
    return SCATTER * abs(row.value)


def _centre(voices: list[Voice]) -> float:
    if len(voices) >= 3:
        return statistics.median(voice.value for voice in voices)
    return sum(voice.value * voice.weight for voice in voices) / sum(voice.weight for voice in voices)


def _spread(voices: list[Voice], centre: float) -> float:
    within = statistics.fmean(voice.spread for voice in voices)
    if len(voices) < 2:
        return within
    weight = sum(voice.weight for voice in voices)
    between = sum(voice.weight * (voice.value - centre) ** 2 for voice in voices) / weight
    return math.sqrt(within**2 + between * len(voices) / (len(voices) - 1))


def _widening(voices: list[Voice], used: list[Observation]) -> float:
    recalled = all(each.pedigree.evidence is Evidence.MEMORY for each in used)
    return (ALONE if len(voices) == 1 else 1.0) * (RECALLED if recalled else 1.0)


def _detection_limit(row: Observation) -> float:
    if row.qualifier not in {"nd", "tr", "<"}:
        return 0.0
    return row.high if row.high is not None else max(UNSTATED_LIMIT, row.value)


def _within_figures(used: list[Observation], low: float, high: float) -> tuple[float, float]:
    """A balance stays within what single figures allow, each with its own scatter.

    Fructose and glucose rise and fall together, so one source with much glucose does not make much fructose likely.
    """
    ends = [(row.value - Z90 * _own_spread(row), row.value + Z90 * _own_spread(row)) for row in used]
    return max(low, min(end[0] for end in ends)), min(high, max(end[1] for end in ends))


def _bound_of_traces(used: list[Observation], centre: float) -> float:
    """What 'not detected' leaves open: the highest limit beside other figures, the lowest where all found nothing."""
    limits = [limit for each in used if (limit := _detection_limit(each)) > 0]
    if not limits:
        return 0.0
    return min(limits) if centre == 0 else max(limits)


def _grade(used: list[Observation]) -> Evidence:
    evidence = {each.pedigree.evidence for each in used}
    for grade in (Evidence.OWN, Evidence.SEEN, Evidence.DERIVED):
        if grade in evidence:
            return grade
    return Evidence.MEMORY


def _reason(voices: list[Voice], used: list[Observation]) -> str:
    if len(voices) == 1:
        return f"one source ({voices[0].source}), range widened"
    how = "median" if len(voices) >= 3 else "weighted mean"
    return f"{how} of {len(voices)} sources"
