"""From several published figures to one estimate with a range: a random-effects model with a borrowed spread.

A cell of the catalogue is one food, form and analyte. What is wanted is not the mean of the literature but the
content of the next purchase: another cultivar, another lab, another month. So the spread *between* sources is kept,
not averaged away (the prediction interval of a random-effects meta-analysis: Higgins, Thompson, Spiegelhalter 2009),
and the spread *within* a source (between lots) is added.

1. Each source speaks once: rows of one source are averaged, so that a table with ten cultivars does not outvote nine
   papers. Editions of one table are one source (`voice` in sources.csv). A recalled figure weighs half.
2. The centre is the median of the sources from three on, their weighted mean below that: one wild source of three or
   more cannot move it, and counts in the spread by the median deviation only.
3. Few sources say little about their own spread. It is therefore moderated: the spread seen and the spread usual for
   the analyte (spreads.csv) are averaged as variances, the usual one counting as PRIOR_DF sources more (the moderated
   variance of Smyth 2004). A single figure borrows all of it.
4. The range is the 90 % interval of Student's t with that many degrees of freedom; on the log scale for contents
   found by every source, so that it stays above zero and leans upwards, as contents do; linear, cut off at zero,
   where some found none or the spread exceeds the content.
5. Not-detected figures are zeros with the detection limit as bound: the tightest limit where all found nothing.
   Recalled figures alone widen the range by RECALLED.

The fructose balance may be negative; it is pooled linearly and kept within what single figures allow.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from lowsimmer.domain.foods import Estimate, Observation
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.reference.table import rows, sources

Z90 = 1.6448536269514722  # standard normal quantile of 0.95
# Student's t, quantile of 0.95, by degrees of freedom (any statistical table; Fisher and Yates 1963, table III).
T95 = (6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812, 1.796, 1.782, 1.771, 1.761, 1.753)
PRIOR_DF = 3
RECALLED = 1.25
ALONE = 1.5  # times the scatter of a balance that rests on one figure
WORKED_OUT = "derived-formula"  # the source key of figures that nobody printed
MAD = 1.4826  # median absolute deviation to standard deviation of a normal distribution
UNSTATED_LIMIT = 0.05  # g per 100 g: half the last printed digit of the usual tables


@dataclass(frozen=True, slots=True)
class Spread:
    """The usual spreads of one analyte; see the head of spreads.csv."""

    between_g: float
    between_share: float
    scatter: float
    least: float

    def between(self, centre: float) -> float:
        """The usual sd between sources at this content."""
        return math.hypot(self.between_g, self.between_share * abs(centre))


@cache
def spreads() -> dict[str, Spread]:
    """Analyte -> its usual spreads."""
    columns = ("between_g", "between_share", "scatter", "least")
    return {row["analyte"]: Spread(*(float(row[column]) for column in columns)) for row in rows("spreads.csv")}


@dataclass(frozen=True, slots=True)
class Voice:
    """What one source says of one cell: mean, sd of its lots, and its weight."""

    source: str
    value: float
    spread: float
    weight: float


def pool(observations: Sequence[Observation], signed: bool = False) -> Estimate | None:
    """The estimate of one cell from its observations; None when none of them is used.

    `signed` is for the fructose balance, which may lie below zero.
    """
    used = [_limit_as_zero(each) for each in observations if each.used]
    if not used:
        return None
    voices = voices_of(used)
    centre = _centre(voices)
    low, high = _linear(used, voices, centre) if signed else _range(used, voices, centre)
    return Estimate(
        value=centre,
        low=min(max(low, -100.0), centre),
        high=max(min(high, 100.0), centre),
        grade=_grade(used),
        reason=_reason(voices),
        behind=tuple(observations),
    )


def _limit_as_zero(row: Observation) -> Observation:
    """'Below 2.2' is a bound, not a figure: not found, with that limit."""
    return replace(row, value=0.0, low=0.0, high=row.value, qualifier="nd") if row.qualifier == "<" else row


def voices_of(used: Iterable[Observation]) -> list[Voice]:
    """The sources behind a cell, each with one mean."""
    grouped: dict[str, list[Observation]] = {}
    for each in used:
        grouped.setdefault(sources()[each.pedigree.source]["voice"], []).append(each)
    return [_voice(source, group) for source, group in grouped.items()]


def _voice(source: str, group: list[Observation]) -> Voice:
    values = [row.value for row in group]
    own = statistics.fmean(own_spread(row) for row in group)
    across = statistics.stdev(values) if len(values) > 1 else 0.0
    seen = any(row.pedigree.evidence is not Evidence.MEMORY for row in group)
    return Voice(source, statistics.fmean(values), math.hypot(own, across), 1.0 if seen else 0.5)


def own_spread(row: Observation) -> float:
    """The sd of single lots by one figure: its own, its printed range taken as 90 %, or the usual scatter."""
    usual = spreads()[row.analyte]
    if row.sd is not None:
        stated = row.sd
    elif row.low is not None and row.high is not None and row.high > row.low and row.qualifier not in {"nd", "tr"}:
        stated = (row.high - row.low) / (2 * Z90)
    else:
        stated = usual.scatter * abs(row.value)
    return max(stated, usual.least * abs(row.value))


def _centre(voices: list[Voice]) -> float:
    if len(voices) >= 3:
        return statistics.median(voice.value for voice in voices)
    return sum(voice.value * voice.weight for voice in voices) / sum(voice.weight for voice in voices)


def _range(used: list[Observation], voices: list[Voice], centre: float) -> tuple[float, float]:
    """The 90 % range of a content."""
    if centre == 0:
        return 0.0, _bound_of_traces(used, centre)
    if all(row.pedigree.source == WORKED_OUT for row in used):
        return _stated_range(used, centre)
    sd, df = _moderated(voices, centre, spreads()[used[0].analyte].between(centre), _all_recalled(used))
    if sd > centre or min(voice.value for voice in voices) <= 0:
        low, high = max(0.0, centre - T95[df - 1] * sd), centre + T95[df - 1] * sd
    else:
        reach = math.exp(T95[df - 1] * math.sqrt(math.log1p((sd / centre) ** 2)))
        low, high = centre / reach, centre * reach
    return low, max(high, _bound_of_traces(used, centre))


def _stated_range(used: list[Observation], centre: float) -> tuple[float, float]:
    """Figures worked out from a usual recipe or a water balance carry a range that was judged then; it is kept."""
    low = statistics.fmean(row.value if row.low is None else row.low for row in used)
    high = statistics.fmean(row.value if row.high is None else row.high for row in used)
    spread = Z90 * statistics.fmean(own_spread(row) for row in used)
    return max(0.0, min(low, centre - spread)), max(high, centre + spread)


def _moderated(voices: list[Voice], centre: float, usual: float, recalled: bool) -> tuple[float, int]:
    """The sd of the next purchase and its degrees of freedom."""
    seen_df = len(voices) - 1
    between = (PRIOR_DF * usual**2 + seen_df * _between(voices, centre) ** 2) / (PRIOR_DF + seen_df)
    within = statistics.fmean(voice.spread**2 for voice in voices)
    sd = math.sqrt(between + within) * (RECALLED if recalled else 1.0)
    return sd, min(PRIOR_DF + seen_df, len(T95))


def _between(voices: list[Voice], centre: float) -> float:
    """The sd between sources: by median deviation from three on (robust), by difference for two, none for one."""
    deviations = [abs(voice.value - centre) for voice in voices]
    if len(voices) >= 3:
        return MAD * statistics.median(deviations)
    return math.sqrt(sum(deviation**2 for deviation in deviations)) if len(voices) == 2 else 0.0


def _linear(used: list[Observation], voices: list[Voice], centre: float) -> tuple[float, float]:
    """The range of a balance: what the figures say, but within what single figures allow, each with its own scatter.

    Fructose and glucose rise and fall together, so one source with much glucose does not make much fructose likely.
    """
    usual = statistics.fmean(voice.spread for voice in voices)
    sd, df = _moderated(voices, centre, usual, _all_recalled(used))
    scatter = [(row.value, Z90 * own_spread(row) * (ALONE if len(used) == 1 else 1)) for row in used]
    lowest, highest = min(value - own for value, own in scatter), max(value + own for value, own in scatter)
    return max(centre - T95[df - 1] * sd, lowest), min(centre + T95[df - 1] * sd, highest)


def _bound_of_traces(used: list[Observation], centre: float) -> float:
    """What 'not detected' leaves open: the highest limit beside other figures, the lowest where all found nothing."""
    limits = [limit for each in used if (limit := _detection_limit(each)) > 0]
    if not limits:
        return 0.0
    return min(limits) if centre == 0 else max(limits)


def _detection_limit(row: Observation) -> float:
    if row.qualifier not in {"nd", "tr", "<", "~"}:
        return 0.0
    stated = row.high if row.high is not None else max(UNSTATED_LIMIT, row.value)
    return stated if row.qualifier != "~" or row.value == 0 else 0.0


def _all_recalled(used: list[Observation]) -> bool:
    return all(each.pedigree.evidence is Evidence.MEMORY for each in used)


def _grade(used: list[Observation]) -> Evidence:
    evidence = {each.pedigree.evidence for each in used}
    for grade in (Evidence.OWN, Evidence.SEEN, Evidence.DERIVED):
        if grade in evidence:
            return grade
    return Evidence.MEMORY


def _reason(voices: list[Voice]) -> str:
    if len(voices) == 1:
        return f"one source ({voices[0].source}), spread borrowed"
    how = "median" if len(voices) >= 3 else "weighted mean"
    return f"{how} of {len(voices)} sources"
