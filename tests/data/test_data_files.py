"""The data files of the catalogue, held against their own rules.

A curator who breaks a rule should read here which row it is; so every test gathers all its offenders and shows them.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from lowsimmer.domain.foods import FoodKey
from lowsimmer.domain.groups import Group
from lowsimmer.domain.pedigree import Evidence
from lowsimmer.loads.assess import COMPONENTS
from lowsimmer.matching.names import UNDECIDED
from lowsimmer.reference.catalogue import foods, forms, kinds
from lowsimmer.reference.composition import composition, observations
from lowsimmer.reference.limits import profiles
from lowsimmer.reference.phrases import normal
from lowsimmer.reference.pooling import pool
from lowsimmer.reference.table import DATA, head, number, rows, sources

FILES = sorted(str(path.relative_to(DATA)) for path in DATA.rglob("*.csv"))
ANALYTES = {
    "fructan", "gos", "raffinose", "stachyose", "verbascose", "lactose", "fructose", "glucose", "sorbitol", "mannitol",
    "other-polyol",
}  # fmt: skip
COUNTED = (Group.FRUCTAN, Group.GOS, Group.LACTOSE, Group.SORBITOL, Group.MANNITOL, Group.OTHER_POLYOLS)
CENTRES = ("value", "grams", "g_per_ml", "factor", "fraction")
FORMS = {
    "raw", "dry", "flour", "powder", "dried", "fresh", "as-sold", "fluid", "boiled", "boiled-drained", "canned-drained",
    "canned", "canned-rinsed", "infused-oil", "pickled", "roasted", "toasted", "fried", "baked", "fermented",
    "sprouted", "frozen", "juice", "puree", "semi-dried", "canned-juice", "canned-syrup", "brewed", "smoked",
}  # fmt: skip
ALLERGENS = {
    "gluten-wheat", "gluten-rye", "gluten-barley", "gluten-oat", "gluten-spelt", "crustacean", "egg", "fish", "peanut",
    "soy", "milk", "tree-nut", "celery", "mustard", "sesame", "sulphite", "lupin", "mollusc",
}  # fmt: skip
MEASURES = {"", "count", "bunch", "spoon", "volume", "weight", "informal", "can"}
SIZES = {"", "small", "medium", "large", "us", "metric"}
STATES = {"", "chopped", "sliced", "grated", "packed", "whole", "mashed", "sifted", "ground", "leaves"}


def tell(offenders: Iterable[object]) -> str:
    """All offenders, one a line, for the message of an assertion."""
    return "\n".join(map(str, offenders))


def repeated(keys: Iterable[tuple[str, ...]]) -> list[tuple[str, ...]]:
    return [key for key, count in Counter(keys).items() if count > 1]


def with_column(column: str) -> Iterator[tuple[str, dict[str, str]]]:
    """(file, row) of every data file that has the column."""
    for file in FILES:
        for row in rows(file):
            if column in row:
                yield file, row


# -- the files themselves


@pytest.mark.parametrize("file", FILES)
def test_file_loads_and_explains_itself(file: str) -> None:
    assert list(rows(file)), f"{file} has no rows"
    lines = head(file)
    assert lines, f"{file} begins without comment lines"
    assert all(lines), f"{file} has an empty comment line"


@pytest.mark.parametrize("file", FILES)
def test_file_is_plain_text(file: str) -> None:
    data = (DATA / file).read_bytes()
    assert b"\r" not in data
    assert data.endswith(b"\n")
    assert "\ufffd" not in data.decode("utf-8")


@pytest.mark.parametrize("file", FILES)
def test_comments_stand_before_the_rows_only(file: str) -> None:
    """The loader drops every line that begins with '#', so one inside a file would lose a row."""
    lines = (DATA / file).read_text(encoding="utf-8").splitlines()
    first = next(place for place, line in enumerate(lines) if not line.startswith("#"))
    assert not [line for line in lines[first:] if line.startswith("#") or not line.strip()]


def test_the_folders_of_a_kind_have_equal_columns() -> None:
    for folder in sorted(path for path in DATA.iterdir() if path.is_dir()):
        columns = {tuple(rows(str(file.relative_to(DATA)))[0]) for file in folder.glob("*.csv")}
        assert len(columns) == 1, f"{folder.name}: {columns}"


# -- pedigree


def test_every_source_is_in_the_list_of_sources() -> None:
    lost = {(file, row["source"]) for file, row in with_column("source") if row["source"] not in sources()}
    assert not lost, tell(sorted(lost))


def test_every_source_has_a_citation_and_a_voice() -> None:
    assert not [key for key, row in sources().items() if not (row["citation"] and row["voice"] and row["kind"])]


def test_a_source_is_listed_once() -> None:
    assert not repeated((row["source"],) for row in rows("sources.csv"))


def test_evidence_is_one_of_the_known_words() -> None:
    words = {each.value for each in Evidence}
    odd = [(file, row) for file, row in with_column("evidence") if row["evidence"] not in words]
    assert not odd, tell(odd)


def test_a_figure_that_nobody_wrote_down_is_never_called_seen() -> None:
    odd = [(file, row) for file, row in with_column("evidence") if row.get("source") == "practice"]
    assert not [each for each in odd if each[1]["evidence"] == "seen"]


# -- ranges and sizes of numbers


def test_ranges_are_in_order() -> None:
    odd = []
    for file, row in with_column("low"):
        centre = next(column for column in CENTRES if column in row)
        value = float(row[centre])
        low, high = number(row["low"]), number(row["high"])
        if not 0 <= (value if low is None else low) <= value <= (value if high is None else high):
            odd.append((file, row))
    assert not odd, tell(odd)


def test_weights_and_densities_are_of_this_world() -> None:
    heavy = [row for row in rows("pieces") if not 0 < float(row["grams"]) <= 10_000]
    assert not heavy, tell(heavy)
    dense = [row for row in rows("densities") if not 0.01 <= float(row["g_per_ml"]) <= 2.5]
    assert not dense, tell(dense)
    parts = [row for row in rows("pieces") if row["edible_fraction"] and not 0 < float(row["edible_fraction"]) <= 1]
    assert not parts, tell(parts)


def test_no_food_holds_more_than_itself() -> None:
    over = [row for row in rows("observations") if float(row["value"]) > 100 or (number(row["high"]) or 0) > 100]
    assert not over, tell(over)


def test_the_groups_and_sugars_of_a_food_fit_into_it() -> None:
    over = {}
    for key in foods():
        estimates = [composition(key)[group] for group in COUNTED]
        estimates += [pool(observations().get((key, sugar), [])) for sugar in ("fructose", "glucose")]
        total = sum(each.value for each in estimates if each is not None)
        if total > 105:
            over[key] = total
    assert not over, tell(over.items())


# -- foods and their names


def test_there_are_at_least_250_foods() -> None:
    assert len(forms()) >= 250, f"{len(forms())} foods in {len(foods())} forms"


def test_a_food_and_form_stands_in_one_row() -> None:
    assert not repeated((row["food"], row["form"]) for row in rows("foods"))


def test_foods_use_the_agreed_words() -> None:
    odd = [
        row
        for row in rows("foods")
        if row["form"] not in FORMS
        or not set(filter(None, row["allergens"].split("|"))) <= ALLERGENS
        or row["food"] != row["food"].lower()
        or " " in row["food"]
        or not row["label"]
    ]
    assert not odd, tell(odd)


def test_every_kind_is_known_and_has_a_limit_class() -> None:
    assert {food.kind for food in foods().values()} <= set(kinds())
    assert {row["limit_class"] for row in kinds().values()} <= {"core", "produce", "other"}
    assert all(row["words"] for row in kinds().values())


def test_every_limit_class_of_the_profiles_is_on_some_shelf() -> None:
    classes = {limit.food_class for each in profiles().values() for limit in each.foods} - {"*"}
    assert classes <= {row["limit_class"] for row in kinds().values()}


def test_every_kind_named_in_a_rule_exists() -> None:
    files = ("zeros.csv", "derivations.csv", "drained.csv", "form_rules.csv")
    named = {shelf for file in files for row in rows(file) for shelf in row["applies_to"].split("|")}
    named |= {kind for row in rows("form_choices.csv") for kind in row["kinds"].split("|")} - {"*"}
    bare = {each.removeprefix("food:").removeprefix("kind:") for each in named if not each.startswith("form:")}
    lost = bare - set(kinds()) - set(forms())
    assert not lost, tell(sorted(lost))


def test_rules_speak_of_the_agreed_forms() -> None:
    assert {row["to_form"] for row in rows("form_rules.csv")} <= FORMS | {"="}
    lost = [row for row in rows("form_rules.csv") if row["to_food"] and row["to_food"] not in forms()]
    assert not lost, tell(lost)
    ends = {row[end] for row in rows("derivations.csv") for end in ("from_form", "to_form")}
    assert ends <= FORMS, tell(sorted(ends - FORMS))


def test_every_food_has_a_name() -> None:
    assert not set(forms()) - {row["food"] for row in rows("names")}


def test_every_name_points_to_a_food_that_exists() -> None:
    lost = [
        row
        for row in rows("names")
        if row["food"] not in forms()
        or (row["form"] != UNDECIDED and FoodKey(row["food"], row["form"]) not in foods())
        or row["measure"] not in MEASURES
        or row["region"] not in {"", "us", "uk", "au", "nz"}
    ]
    assert not lost, tell(lost)


def test_a_name_means_one_food_in_one_form() -> None:
    """For one measure and one region, after the typing that makes "half-and-half" and "half and half" one name."""
    meanings: dict[tuple[str, str, str], set[tuple[str, str]]] = defaultdict(set)
    for row in rows("names"):
        meanings[normal(row["name"]), row["measure"], row["region"]].add((row["food"], row["form"]))
    torn = {name: found for name, found in meanings.items() if len(found) > 1}
    assert not torn, tell(torn.items())


def test_names_are_written_as_they_are_compared() -> None:
    odd = [row for row in rows("names") if row["name"] != row["name"].lower().strip() or not normal(row["name"])]
    assert not odd, tell(odd)


# -- observations


def test_observations_use_the_agreed_words() -> None:
    odd = [
        row
        for row in rows("observations")
        if row["analyte"] not in ANALYTES
        or row["qualifier"] not in {"=", "~", "<", "tr", "nd"}
        or row["evidence"] not in {"seen", "memory", "derived"}
        or not (row["decision"] == "used" or row["decision"].startswith("set-aside: "))
        or not row["locator"]
    ]
    assert not odd, tell(odd)


@pytest.mark.parametrize("table", ["observations", "pieces", "densities"])
def test_every_row_is_about_a_food_of_the_catalogue(table: str) -> None:
    lost = [row for row in rows(table) if FoodKey(row["food"], row["form"]) not in foods()]
    assert not lost, tell(lost)


@pytest.mark.parametrize(
    ("table", "columns"),
    [
        ("observations", ("food", "form", "analyte", "source", "locator")),
        ("pieces", ("food", "form", "piece", "size")),
        ("densities", ("food", "form", "state")),
    ],
)
def test_no_figure_stands_twice(table: str, columns: tuple[str, ...]) -> None:
    twice = repeated(tuple(row[column] for column in columns) for row in rows(table))
    assert not twice, tell(twice)


def test_gos_is_not_counted_twice() -> None:
    """A source may give GOS or its parts, and not both from one place."""
    found: dict[tuple[str, str, str, str], set[str]] = defaultdict(set)
    for row in rows("observations"):
        if row["decision"] == "used":
            found[row["food"], row["form"], row["source"], row["locator"]].add(row["analyte"])
    parts = {"raffinose", "stachyose", "verbascose"}
    twice = [place for place, analytes in found.items() if "gos" in analytes and analytes & parts]
    assert not twice, tell(twice)


def test_the_sugars_of_the_outside_check_are_held_out() -> None:
    inside = [
        row
        for row in rows("observations")
        if row["source"] in {"cofid2015", "cnf2015"} and row["analyte"] in {"fructose", "glucose", "lactose"}
    ]
    assert not inside, tell(inside)


def test_every_group_of_every_food_is_a_figure_or_says_that_it_is_unknown() -> None:
    for key in foods():
        found = composition(key)
        assert set(found) == set(Group), key
        odd = [group for group, each in found.items() if each is not None and not (each.behind or each.reason)]
        assert not odd, f"{key}: a figure without its origin: {odd}"


# -- words and measures


def test_a_unit_word_means_one_unit() -> None:
    words = [(word,) for row in rows("units.csv") for word in row["words"].split("|")]
    assert not repeated(words)
    assert not repeated((row["unit"],) for row in rows("units.csv"))


def test_every_measured_unit_has_a_size_where_no_region_is_stated() -> None:
    sized = {row["unit"] for row in rows("measures.csv") if not row["region"]}
    wanted = {row["unit"] for row in rows("units.csv") if row["kind"] in {"mass", "volume", "informal"}}
    assert wanted <= sized, tell(sorted(wanted - sized))
    assert not repeated((row["unit"], row["region"]) for row in rows("measures.csv"))


def test_sizes_and_states_are_agreed_words() -> None:
    assert {row["size"] for row in rows("pieces")} <= SIZES
    assert {row["state"] for row in rows("densities")} <= STATES
    assert {row["state"] for row in rows("states.csv")} <= STATES


def test_a_piece_with_sizes_has_a_weight_without_a_size() -> None:
    pieces = {(row["food"], row["form"], row["piece"], row["size"]) for row in rows("pieces")}
    sized = {each[:3] for each in pieces if each[3] in {"small", "medium", "large"}}
    lost = [each for each in sorted(sized) if (*each, "") not in pieces]
    assert not lost, tell(lost)


def test_every_form_word_is_decided_on_some_shelf() -> None:
    meant = {row["means"] for row in rows("words.csv") if row["class"] == "form"}
    decided = {row["means"] for row in rows("form_choices.csv")}
    assert meant <= decided, tell(sorted(meant - decided))
    assert {row["otherwise"] for row in rows("form_choices.csv")} <= {"refuse", "keep"}


def test_a_word_beside_a_name_has_one_class() -> None:
    assert not repeated((row["word"],) for row in rows("words.csv"))
    assert {row["class"] for row in rows("words.csv")} <= {"neutral", "prep", "manner", "form", "cut", "deciding"}


# -- limits


@pytest.mark.parametrize("name", ["restriction", "maintenance"])
def test_a_profile_has_a_plate_limit_for_everything_that_is_judged(name: str) -> None:
    plate = [limit.component for limit in profiles()[name].plate]
    assert sorted(plate) == sorted(COMPONENTS)


def test_the_data_files_stand_where_the_package_looks_for_them() -> None:
    assert Path(DATA).is_dir()
    assert {file.partition("/")[0] for file in FILES if "/" in file} == {
        "foods", "names", "observations", "pieces", "densities",
    }  # fmt: skip
