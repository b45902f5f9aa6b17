"""What cannot be used ends with one clear sentence on standard error, exit status 2, and nothing written.

Every sentence is kept in messages.txt and reviewed there. A case is a name, the words of the command and the files it
is given; each runs in a folder of its own that also holds salad.md and meal.yaml.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests import snapshots
from tests.cli.helpers import MEAL, SALAD, Answer, files_under, run, spawn

MESSAGES = Path(__file__).with_name("messages.txt")


@dataclass(frozen=True)
class Case:
    """One wrong input. `says` must stand in the sentence; `argparse`: the words are Python's own."""

    name: str
    words: list[str]
    files: dict[str, str | bytes] = field(default_factory=dict)
    argparse: bool = False
    shown: bool = True
    says: str = ""


def dish(
    name: str, text: str | bytes, verb: tuple[str, ...] = ("assess", "{}"), file: str = "dish.md", says: str = ""
) -> Case:
    """A case of one file and one verb."""
    return Case(name, [word.format(file) for word in verb], {file: text}, says=says)


def front(lines: str) -> str:
    """A dish with this front matter and one plain ingredient."""
    return f"---\n{lines}\n---\n## Ingredients\n- 200 g rice\n"


def recipe(**fields: object) -> str:
    """A schema.org recipe as JSON text."""
    return json.dumps(
        {"@type": "Recipe", "name": "Rice", "recipeYield": "4", "recipeIngredient": ["1 cup rice"], **fields}
    )


BOMB = "\n".join(["a: &a [x,x,x,x,x,x,x,x,x]", *(f"{b}: &{b} [*{a},*{a},*{a},*{a},*{a},*{a},*{a}]" for a, b in
                  zip("abcdefgh", "bcdefghi", strict=True)), "title: Bomb", "serves: 4"])  # fmt: skip
NOISE = bytes(range(256)) * 40_000  # 10 MB
NOT_DATA = "anchors, aliases and tags"
LONG_NAME = "n" * 5000

CASES = [
    # the file itself
    Case("missing file", ["assess", "nothing.md"]),
    Case("missing meal", ["assess", "nothing.yaml"]),
    Case("missing list of lines", ["read", "nothing.txt"]),
    Case("folder", ["assess", "folder.md"], {"folder.md/inside.txt": ""}),
    Case("file name too long", ["assess", f"{LONG_NAME}.md"], shown=False),
    dish("empty dish file", ""),
    dish("blank dish file", "\n \n\t\n"),
    dish("empty meal file", "", file="lunch.yaml"),
    dish("empty recipe file", "", file="rice.json"),
    dish("empty page", "", file="rice.html"),
    dish("empty list of lines", "", ("read", "{}"), "lines.txt"),
    dish("list of empty lines", "\n\n   \n\t\n", ("read", "{}"), "lines.txt"),
    dish("10 MB of text", "garbage in the kitchen\n" * 450_000),
    dish("10 MB of text read as lines", "garbage in the kitchen\n" * 450_000, ("read", "{}"), "lines.txt"),
    dish("10 MB of bytes", NOISE),
    dish("10 MB of bytes as a meal", NOISE, file="lunch.yaml"),
    dish("10 MB of bytes as a page", NOISE, file="rice.html"),
    dish("1 MB of bytes", NOISE[: 1 << 20]),
    dish("zero bytes", b"\x00" * 2000),
    dish("picture", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + NOISE[:4000]),
    dish("latin-1", SALAD.replace("salad", "salade à l'été").encode("latin-1")),
    dish("latin-1 lines", "1 jalapeño\n".encode("latin-1"), ("read", "{}"), "lines.txt"),
    dish("utf-16 without mark", SALAD.encode("utf-16-le")),
    dish("utf-16 cut short", SALAD.encode("utf-16")[:-1]),
    # the dish
    dish("no front matter", "## Ingredients\n- 200 g rice\n"),
    dish("front matter not closed", "---\ntitle: Rice\nserves: 4\n## Ingredients\n- 200 g rice\n"),
    dish("front matter is a list", front("- title\n- serves")),
    dish("front matter is a word", front("rice")),
    dish("front matter is empty", front("")),
    dish("front matter is not YAML", front("title: [Rice\nserves: 4")),
    dish("front matter of 200,000 characters", front("title: Rice\nserves: 4\nnotes: " + "n" * 200_000)),
    dish("unknown field", front("title: Rice\nservs: 4")),
    dish("no title", front("serves: 4")),
    dish("blank title", front("title: '  '\nserves: 4")),
    dish("no servings", front("title: Rice")),
    dish("blank servings", front("title: Rice\nserves:")),
    dish("zero servings", front("title: Rice\nserves: 0")),
    dish("negative servings", front("title: Rice\nserves: -4")),
    dish("absurd servings", front("title: Rice\nserves: 100000")),
    dish("servings beyond any number", front("title: Rice\nserves: " + "9" * 400), says="number of servings"),
    dish("servings in a word", front("title: Rice\nserves: plenty")),
    dish("servings not a number", front("title: Rice\nserves: .nan")),
    dish("servings without end", front("title: Rice\nserves: .inf")),
    dish("servings of the form 0 to 4", front("title: Rice\nserves: 0-4"), says="number of servings"),
    dish("servings as a list", front("title: Rice\nserves: [4]")),
    dish("unknown region in the file", front("title: Rice\nserves: 4\nregion: mars")),
    dish("no ingredients", "---\ntitle: Rice\nserves: 4\n---\n## Method\n1. Boil.\n"),
    dish("ingredients without a line", "---\ntitle: Rice\nserves: 4\n---\n## Ingredients\n\n## Method\n1. Boil.\n"),
    dish("too many lines", front("title: Rice\nserves: 4") + "- 1 g rice\n" * 500),
    # YAML as a weapon
    dish("YAML bomb", front(BOMB), says=NOT_DATA),
    dish("YAML bomb as a meal", BOMB, file="lunch.yaml", says=NOT_DATA),
    dish("YAML alias to itself", "title: &x [*x]\n", file="lunch.yaml", says=NOT_DATA),
    dish("YAML tag", front("title: !!python/object/apply:os.system ['touch written']\nserves: 4"), says=NOT_DATA),
    dish("YAML tag in a meal", "title: !!python/name:os.system x\ndishes: []\n", file="lunch.yaml", says=NOT_DATA),
    dish("deep YAML", front("title: Rice\nserves: " + "[" * 20_000)),
    dish("deep YAML meal", "dishes: " + "[" * 20_000 + "]" * 20_000, file="lunch.yaml"),
    dish("impossible date", front("title: 2024-13-45\nserves: 4")),
    # JSON and pages
    dish("broken JSON", '{"@type": "Recipe", "name": ', file="rice.json"),
    dish("JSON without a recipe", '{"name": "Rice"}', file="rice.json"),
    dish("JSON list of numbers", "[1, 2, 3]", file="rice.json"),
    dish("deep JSON", "[" * 100_000 + "]" * 100_000, file="rice.json"),
    dish("deep JSON objects", '{"a":' * 100_000 + "1" + "}" * 100_000, file="rice.json"),
    dish("JSON number of 5,000 digits", '{"a": ' + "9" * 5000 + "}", file="rice.json"),
    dish("JSON recipe without servings", recipe(recipeYield=None), file="rice.json"),
    dish("JSON recipe for nobody", recipe(recipeYield="0"), file="rice.json"),
    dish("JSON recipe without ingredients", recipe(recipeIngredient=[]), file="rice.json"),
    dish("page without a recipe", "<html><body><p>Boil the rice.</p></body></html>", file="rice.html"),
    dish("page with a broken recipe", "<script type='application/ld+json'>{\"@type\": </script>", file="rice.html"),
    dish("page with a number of 5,000 digits",
         f"<script type='application/ld+json'>{'9' * 5000}</script>", file="rice.html"),
    dish("page with deep JSON", f"<script type='application/ld+json'>{'[' * 50_000}</script>", file="rice.html"),
    # the meal
    dish("meal without dishes", "title: Lunch\n", file="lunch.yaml"),
    dish("meal with an empty list", "title: Lunch\ndishes: []\n", file="lunch.yaml"),
    dish("meal with a word for a list", "title: Lunch\ndishes: salad.md\n", file="lunch.yaml"),
    dish("meal with a missing dish", "dishes:\n  - file: soup.md\n", file="lunch.yaml"),
    dish("meal with a dish without a file", "dishes:\n  - portion: 1\n", file="lunch.yaml"),
    dish("meal with an unknown field", "dishes:\n  - file: salad.md\n    potion: 1\n", file="lunch.yaml"),
    dish("meal that names itself", "dishes:\n  - file: lunch.yaml\n", file="lunch.yaml", says="is a meal"),
    dish("meal that names a meal", "dishes:\n  - file: meal.yaml\n", file="lunch.yaml", says="is a meal"),
    dish("meal that names a folder", "dishes:\n  - file: .\n", file="lunch.yaml"),
    dish("meal with a zero byte in a name", 'dishes:\n  - file: "a\\0b.md"\n', file="lunch.yaml"),
    dish("meal with a portion in a word", "dishes:\n  - file: salad.md\n    portion: lots\n", file="lunch.yaml"),
    dish("meal with no portion", "dishes:\n  - file: salad.md\n    portion: 0\n", file="lunch.yaml"),
    dish("meal with a negative portion", "dishes:\n  - file: salad.md\n    portion: -1\n", file="lunch.yaml"),
    dish("meal with an absurd portion", "dishes:\n  - file: salad.md\n    portion: 100000\n", file="lunch.yaml"),
    dish("meal in pieces of a dish that makes none", "dishes:\n  - file: salad.md\n    portion: 2 slices\n",
         file="lunch.yaml"),
    dish("meal of 50 dishes", "dishes:\n" + "  - file: salad.md\n" * 50, file="lunch.yaml", says="50 dishes"),
    dish("dish that makes no pieces", front("title: Rice\nserves: 4\nmakes: 0 balls"), ("assess", "lunch.yaml")),
    # the words of the command
    Case("unknown phase", ["assess", "salad.md", "--phase", "hope"]),
    Case("unknown phase of a missing file", ["assess", "nothing.md", "--phase", "hope"]),
    Case("unknown profile", ["assess", "salad.md", "--profile", "mine"]),
    Case("unknown group", ["why", "salad.md", "starch"]),
    Case("no words for foods", ["foods", ""]),
    Case("pictures into a file", ["foods", "garlic", "--svg", "salad.md"]),
    Case("pictures below a file", ["foods", "garlic", "--svg", "salad.md/drawn"]),
    Case("gaps of no file", ["foods", "gaps"]),
    Case("gaps of a missing file", ["foods", "gaps", "salad.md", "nothing.md"]),
    Case("gaps with a drawing", ["foods", "gaps", "salad.md", "--figures"]),
    Case("unknown source", ["sources", "muir207"], shown=False),
    Case("a source like no other", ["sources", "ooooooooooooo"]),
    Case("demo into a file", ["demo", "-o", "salad.md"]),
    Case("demo below a file", ["demo", "-o", "salad.md/shown"]),
    Case("no verb", [], argparse=True),
    Case("unknown verb", ["bake", "salad.md"], argparse=True),
    Case("unknown option", ["assess", "salad.md", "--colour"], argparse=True),
    Case("unknown region", ["assess", "salad.md", "--region", "mars"], argparse=True),
    Case("seed that is no number", ["assess", "salad.md", "--seed", "x"], argparse=True),
    Case("no file", ["assess"], argparse=True),
    Case("no group", ["why", "salad.md"], argparse=True),
    Case("option without its value", ["assess", "salad.md", "--phase"], argparse=True),
]  # fmt: skip
EXTRA: dict[str, dict[str, str]] = {
    "dish that makes no pieces": {"lunch.yaml": "dishes:\n  - file: dish.md\n    portion: 2 balls\n"},
}


def lay_out(folder: Path, case: Case) -> None:
    """Write the files of a case."""
    for name, content in {**case.files, **EXTRA.get(case.name, {})}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())


def assert_refused(answer: Answer) -> None:
    """Status 2, one sentence, nothing on standard output."""
    assert answer.status == 2, answer
    assert answer.out == ""
    assert answer.err.startswith("lowsimmer: ")
    assert answer.err.endswith("\n")
    assert answer.err.count("\n") == 1
    assert "Traceback" not in answer.err


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_one_sentence_status_two_nothing_written(case: Case, kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lay_out(kitchen, case)
    before = files_under(kitchen)
    answer = run(capsys, *case.words)
    assert_refused(answer)
    assert files_under(kitchen) == before
    assert case.says in answer.err
    if case.shown and not (case.argparse and sys.version_info >= (3, 12)):
        snapshots.check(MESSAGES, case.name, answer.err.rstrip("\n").replace(str(kitchen), "KITCHEN"))


def test_every_message_on_file_has_its_case() -> None:
    assert set(snapshots.load(MESSAGES)) == {case.name for case in CASES if case.shown}


def test_names_of_cases_are_unique() -> None:
    names = [case.name for case in CASES]
    assert len(names) == len(set(names))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_without_permission(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kitchen / "salad.md").chmod(0)
    assert_refused(run(capsys, "assess", "salad.md"))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_folder_without_permission(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kitchen / "locked").mkdir()
    (kitchen / "locked").chmod(0)
    answer = run(capsys, "assess", "locked/salad.md")
    (kitchen / "locked").chmod(0o700)
    assert_refused(answer)


def test_utf_16_with_its_mark_is_read(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kitchen / "wide.md").write_bytes(SALAD.encode("utf-16"))
    wide, plain = (run(capsys, "assess", name, "--json").record() for name in ("wide.md", "salad.md"))
    assert wide == plain


def test_utf_8_with_a_mark_and_carriage_returns_is_read(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kitchen / "marked.md").write_bytes(b"\xef\xbb\xbf" + SALAD.replace("\n", "\r\n").encode())
    marked, plain = (run(capsys, "assess", name, "--json").record() for name in ("marked.md", "salad.md"))
    assert marked == plain


@pytest.mark.parametrize("words", [["assess", "nothing.md"], ["assess", "bad.yaml"], ["bake"], ["read", "-"]], ids=str)
def test_a_real_process_says_the_same(kitchen: Path, words: list[str]) -> None:
    (kitchen / "bad.yaml").write_text("- 1\n", encoding="utf-8")
    assert_refused(spawn(*words, stdin=NOISE[:5000]))


def test_standard_input_of_10_mb_is_refused_without_reading_it_all(kitchen: Path) -> None:
    assert_refused(spawn("read", "-", stdin=b"garbage\n" * 1_300_000))


SLOW = {
    "heading of spaces": SALAD + "## " + " " * 40_000 + "x\n",
    "heading of marks": SALAD + "## " + "# " * 20_000 + "x\n",
    "component of spaces": SALAD.replace("### Salad", "### " + " " * 40_000 + "x"),
    "line of spaces": SALAD.replace("- salt", "-" + " " * 40_000 + "x"),
    "step of numbers": SALAD + "1. " * 50_000 + "\n",
    "front matter marks": "---\n" + "--- \n" * 20_000,
}


@pytest.mark.parametrize("name", list(SLOW))
def test_no_text_takes_for_ever(kitchen: Path, name: str) -> None:
    (kitchen / "slow.md").write_text(SLOW[name], encoding="utf-8")
    assert spawn("assess", "slow.md", timeout=10).status in {0, 2}


SLOW_PAGES = {
    "open tags": "<" * 300_000,
    "open comments": "<!-" * 100_000,
    "open sections": "<![CDATA[" * 30_000,
    "open end tags": "</" * 150_000,
    "open attributes": "<a " + "x='" * 100_000,
    "open script": "<script type='application/ld+json'>" + "</scrip" * 40_000,
    "ampersands": "<p>" + "&" * 300_000,
    "blocks": "<script type='application/ld+json'>{</script>" * 6_000,
}


@pytest.mark.parametrize("name", list(SLOW_PAGES))
def test_no_page_takes_for_ever(kitchen: Path, name: str) -> None:
    (kitchen / "slow.html").write_text(SLOW_PAGES[name], encoding="utf-8")
    assert_refused(spawn("assess", "slow.html", timeout=10))


def test_half_a_character_in_a_recipe_is_no_crash(kitchen: Path) -> None:
    (kitchen / "half.json").write_text(recipe(name="Rice \ud83c").replace("\\\\u", "\\u"), encoding="utf-8")
    for words in (["assess", "half.json"], ["assess", "half.json", "--json"]):
        answer = spawn(*words)
        assert "Traceback" not in answer.err
        assert answer.status in {0, 2}


def test_a_reader_that_goes_away_is_no_crash(kitchen: Path) -> None:
    command = f"{sys.executable} -m lowsimmer foods a | head -c 10"
    done = subprocess.run(["bash", "-c", command], capture_output=True, timeout=30, check=False)
    assert done.stderr == b""


def test_the_meal_in_the_kitchen_is_good(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert MEAL
    assert run(capsys, "assess", "meal.yaml").status == 0
