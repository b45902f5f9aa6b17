"""Write docs/data.md, with every count taken from the data files: `python tools/write_data_page.py`.

With `--check` nothing is written; the exit status is 1 when the page is out of date.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from lowsimmer.domain.foods import Estimate
from lowsimmer.domain.groups import Group
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.reference import pooling
from lowsimmer.reference.catalogue import foods, forms, kinds
from lowsimmer.reference.composition import ceilings, composition
from lowsimmer.reference.table import DATA, head, rows, sources

PAGE = Path(__file__).parents[1] / "docs" / "data.md"

# What each file or folder holds, in the order of the page.
ABOUT = {
    "foods": "The catalogue: one row a food and form, with shelf, plant family, allergens, what a packet can hide.",
    "names": "What cooks call a food. A row may hold for one kind of measure or one region only; form `?` means ask.",
    "observations": "Published figures of composition, one a row, with source, place in it, evidence and decision.",
    "pieces": "Edible grams of one piece (clove, bunch, slice, can), by size where sizes differ.",
    "densities": "Grams per millilitre, by state (chopped, grated, packed) where that matters.",
    "kinds.csv": "The shelves of the larder and the class of published cut-offs that each shelf falls under.",
    "zeros.csv": "Zeros that are facts of a shelf or a food, with upper bound and reason; `?` forbids such a zero.",
    "derivations.csv": "Factors that give the content of one form from another form of the same food.",
    "spreads.csv": "How far published figures of one food lie apart, by analyte: what single figures borrow.",
    "profiles.csv": "Limit profiles: grams per serving for one food by class, and for everything on the plate.",
    "sources.csv": "Every source key with its citation, kind, voice and how it was read.",
    "units.csv": "The words cooks use for a unit, and the kind of each unit.",
    "measures.csv": "The size of every unit by region, and the wide ranges of informal amounts.",
    "numbers.csv": "Number words: half, a dozen, a few.",
    "heaps.csv": "Heaped, rounded, scant, packed, about: a factor on the measure.",
    "words.csv": "Words that stand beside a food's name, and what the reader does with each.",
    "form_choices.csv": "Which form a form word (canned, dried, fresh) means on each shelf.",
    "form_rules.csv": "Words behind the comma or in a note that change form or part (green parts only, drained).",
    "piece_words.csv": "Pieces that may stand for one another when a food has no weight under the word used.",
    "states.csv": "Preparation words that choose among the densities of a food.",
    "edible_words.csv": "Words that say the weight was taken before something inedible came off.",
    "drained.csv": "The share of a can's printed weight that stays when it is drained.",
    "cautions.csv": "Cautions of food safety and of the diet, by food, form or shelf.",
}


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """All rows of a file or folder."""
    return tuple(rows(name))


def listed(counts: Iterable[tuple[str, int]]) -> str:
    """`a 3, b 2`."""
    return ", ".join(f"{word} {count:,}" for word, count in counts)


def files() -> dict[str, str]:
    """Every data file and folder with what it holds: described above, else by the first line of its own head."""
    found = {path.name for path in DATA.iterdir() if path.is_dir() or path.suffix == ".csv"}
    known = {name: words for name, words in ABOUT.items() if name in found}
    return known | {name: head(name)[0].replace("|", "/") for name in sorted(found - set(ABOUT))}


def file_table() -> str:
    """One line a file: rows, what it holds, columns."""
    lines = ["| file | rows | holds | columns |", "|---|---:|---|---|"]
    for name, words in files().items():
        shown = f"{name}/" if (DATA / name).is_dir() else name
        columns = ", ".join(f"`{column}`" for column in table(name)[0])
        lines.append(f"| `{shown}` | {len(table(name)):,} | {words} | {columns} |")
    return "\n".join(lines)


def shelf_table() -> str:
    """Rows of the catalogue by file of the larder."""
    lines = ["| shelf file | foods and forms | names | observations |", "|---|---:|---:|---:|"]
    parts = sorted({path.name for folder in ("foods", "observations") for path in (DATA / folder).glob("*.csv")})
    for part in parts:
        counts = [len(list(rows(f"{f}/{part}"))) if (DATA / f / part).exists() else 0 for f in ABOUT_PARTS]
        lines.append(f"| `{part}` | " + " | ".join(f"{count:,}" if count else "" for count in counts) + " |")
    return "\n".join(lines)


ABOUT_PARTS = ("foods", "names", "observations")


COLUMNS = {
    "several": "measured, by several",
    "once": "measured, once",
    "memory": "recalled figures only",
    "derived": "worked out",
    "derived form": "from another form",
    "zero": "zero by rule",
    "unknown": "no figure",
}


def known_by(each: Estimate | None) -> str:
    """How one cell is known: a key of COLUMNS."""
    if each is None:
        return "unknown"
    if not each.behind:
        return "zero"
    if each.reason.startswith("derived from "):
        return "derived form"
    if each.grade is not Evidence.SEEN:
        return each.grade.value
    read = [row for row in each.behind if row.used and row.pedigree.evidence is Evidence.SEEN]
    return "several" if len(pooling.voices_of(read)) > 1 else "once"


def coverage(group: Group) -> Counter[str]:
    """How the cells of one group are known, over every food and form."""
    return Counter(known_by(composition(key)[group]) for key in foods())


def coverage_table() -> str:
    """One line a group, then the share of all cells."""
    lines = [f"| group | {' | '.join(COLUMNS.values())} |", "|---|" + "---:|" * len(COLUMNS)]
    total: Counter[str] = Counter()
    for group in Group:
        found = coverage(group)
        total += found
        lines.append(f"| {group.label} | " + " | ".join(f"{found[key]:,}" for key in COLUMNS) + " |")
    shares = " | ".join(f"{100 * total[key] / total.total():.1f} %" for key in COLUMNS)
    return "\n".join([*lines, f"| **share of all cells** | {shares} |"])


def source_list() -> str:
    """Every source: key, citation, figures used and set aside."""
    used = Counter(row["source"] for row in table("observations") if row["decision"] == "used")
    aside = Counter(row["source"] for row in table("observations") if row["decision"] != "used")
    lines = ["| key | citation | used | set aside |", "|---|---|---:|---:|"]
    for key, row in sorted(sources().items()):
        doi = f", doi {row['doi']}" if row["doi"] else ""
        citation = row["citation"].replace("|", "/") + doi
        lines.append(f"| `{key}` | {citation} | {used[key] or ''} | {aside[key] or ''} |")
    return "\n".join(lines)


def aside_list() -> str:
    """Every figure set aside, under its reason."""
    by_reason: dict[str, list[str]] = {}
    for row in table("observations"):
        if row["decision"] != "used":
            value = f"{row['qualifier']}{row['value']}" if row["qualifier"] == "<" else row["value"]
            shown = f"`{row['food']}/{row['form']}` {row['analyte']} {value} ({row['source']})"
            by_reason.setdefault(row["decision"].partition(": ")[2], []).append(shown)
    ordered = sorted(by_reason.items(), key=lambda each: (-len(each[1]), each[0]))
    return "\n".join(f"- **{reason}**: {'; '.join(figures)}." for reason, figures in ordered)


def observation_words() -> str:
    """Counts of observations by decision and evidence."""
    used = [row for row in table("observations") if row["decision"] == "used"]
    evidence = Counter(row["evidence"] for row in used).most_common()
    aside = len(table("observations")) - len(used)
    return (
        f"{len(table('observations')):,} observations: {len(used):,} used (by evidence: {listed(evidence)}) and "
        f"{aside:,} set aside with the reason in their row"
    )


def source_words() -> str:
    """Counts of sources by kind."""
    by_kind = listed(Counter(row["kind"] for row in sources().values()).most_common())
    voices = len({row["voice"] for row in sources().values()})
    return f"{len(sources()):,} sources ({by_kind}) that speak with {voices:,} voices"


def page() -> str:
    """The whole page."""
    families = sum(1 for shelf, _ in ceilings() if shelf.startswith("family "))
    return TEXT.format(
        foods=len(forms()),
        forms=len(foods()),
        names=len(table("names")),
        kinds=len(kinds()),
        observations=observation_words(),
        sources=source_words(),
        files=file_table(),
        shelves=shelf_table(),
        coverage=coverage_table(),
        every_source=source_list(),
        every_aside=aside_list(),
        prior=pooling.PRIOR_DF,
        recalled=pooling.RECALLED,
        unstated=pooling.UNSTATED_LIMIT,
        shelf_bounds=len(ceilings()) - families,
        family_bounds=families,
    )


TEXT = """# Data and its sources

All facts live in CSV files under `src/lowsimmer/reference/data/`, and only `lowsimmer.reference` opens them. Each file
begins with comment lines that explain its columns and units; a row with a cell too many or too few stops the program.
The counts on this page are written by `tools/write_data_page.py`; `python tools/write_data_page.py --check` says with
its exit status whether they are still true.

- {foods:,} foods in {forms:,} forms on {kinds:,} shelves, known by {names:,} name rows;
- {observations};
- {sources}.

## The files

{files}

The folders hold one file per part of the larder, all with equal columns:

{shelves}

Units: `observations` in grams per 100 g of the edible part of that form, `pieces` in edible grams, `densities` in grams
per millilitre, `profiles.csv` in grams per serving. `low` and `high` of measures, pieces, densities and factors bound
nine cases in ten. In `observations` they are what the source printed.

## How well each group is known

Every food and form has a cell for every group. A cell is a figure, a zero with a reason, or unknown; it is never empty.

{coverage}

*Measured*: at least one figure of this very form was read in its source; *several* counts voices (below). *Recalled
figures only*: marked 'recalled, not re-read' wherever it shows. *Worked out*: by recipe share or chemistry from figures
that were read, source `derived-formula`.
*From another form*: through a row of `derivations.csv`; marked 'derived', or 'recalled' where its base was recalled.
*Zero by rule*: from `zeros.csv`, exact or with an upper bound. *No figure*: counted as unknown, never as zero.

## Where an estimate comes from

For one food, form and group the first of these that exists is taken:

1. the observations of that very form, pooled;
2. a zero of the food itself (`food:KEY` in `zeros.csv`);
3. another form of the same food times a factor of `derivations.csv` (the food's own row before its shelf's);
4. a zero of its shelf;
5. nothing: unknown.

Where the food's own answer is zero and its shelf has a zero with a tighter bound, the tighter bound is taken.

Two groups are computed first. *GOS* is the printed sum, or raffinose, stachyose and verbascose of one place in one
source added. *Excess fructose* rests on the balance, fructose less glucose, taken only where one place gives both.

## How figures are pooled

What is wanted is the content of the next purchase, from another field, shop and month; not the mean of the literature.

- Each *voice* speaks once: rows of one source are averaged first, and editions of one table share a voice, so a table
  with ten cultivars does not outvote nine papers.
- Centre: the median of the voices from three on; below that their weighted mean, in which a voice with recalled figures
  only has half weight.
- Spread within a voice: its printed standard deviation, else its printed range taken as 90 %, else a usual share of the
  value; never below a least share. Both shares stand in `spreads.csv` and are common practice, without a source.
- Spread between voices is kept, not averaged away. A few voices say little about it, so the spread seen and the spread
  usual for the analyte (`spreads.csv`) are averaged as variances, the usual one counting as {prior} voices more. One
  voice alone borrows all of it.
- The range is the 90 % interval of Student's t; on the log scale where every voice found something and the spread is
  not larger than the content, so that it stays above zero and leans upwards; otherwise linear and cut off at zero.
  Recalled figures only: the spread times {recalled:g}. Figures worked out from a usual recipe or a water balance keep
  the range that was judged then.
- Not detected, and 'below' a limit, is zero with the detection limit as upper bound: the tightest limit where all found
  nothing, the highest beside other figures. Where no limit is printed, {unstated:g} g per 100 g.

A fructose balance may lie below zero and is pooled linearly. Its spread comes from the spreads of both sugars, else it
is a tenth of their mean, for both rise and fall together with ripeness. Its range does not reach beyond what the single
figures allow, each with its own scatter.

## Evidence

| word | means | shown as |
|---|---|---|
| `seen` | read in the source itself | nothing added |
| `rule` | follows from what the thing is | the reason |
| `derived` | computed from another form or from a recipe | 'derived' |
| `memory` | recalled from the source, not read again | 'recalled, not re-read' |
| `common practice` | a fact of the trade without a published source | 'common practice, no source' |
| `own` | the practitioner's own figure | 'own figure' |

The grade of an estimate is the best evidence among the figures used for it. A zero by rule is marked 'recalled' where
it has an upper bound whose source was recalled.

## What is unknown, and how far

An unknown can still be bounded: the program takes it to hold no more than the highest upper bound known in its plant
family or on its shelf, whichever is higher. A family speaks from three foods with figures of their own on, a shelf from
five foods with any figure. At present {shelf_bounds:,} pairs of shelf and group and {family_bounds:,} pairs of family
and group have such a bound. Where neither has one, the bound is 100 g per 100 g, which settles nothing.

## What was held out

Fructose, glucose and lactose of the British table (`cofid2015`) and the Canadian one (`cnf2015`) were kept out of
`observations/` on purpose. They serve as an outside check in `tests/outside/`, and a test refuses rows that break the
rule. The other outside checks there (units, household weights, published statements, cut-offs) are described in
`tests/outside/README.md`, which also says where they are not independent.

## Figures set aside

No row is deleted because it is odd. Its `decision` becomes `set-aside: ` and the reason, and `why` shows it below the
figures that were used. All of them, in grams per 100 g, most frequent reason first:

{every_aside}

## Every source

Used and set aside count figures of composition. Sources without counts stand behind weights, measures, rules or
cautions. `sources KEY` prints every figure taken from one source.

{every_source}
"""


if __name__ == "__main__":
    if "--check" in sys.argv[1:]:
        sys.exit(PAGE.read_text(encoding="utf-8") != page())
    PAGE.write_text(page(), encoding="utf-8")
