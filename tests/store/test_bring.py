from __future__ import annotations

import io
import struct
import time
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lowsimmer.demo import KITCHEN
from lowsimmer.domain.errors import InputError
from lowsimmer.store.bring import Choice, Incoming, Standing, Watch, bring, files_of, preview
from lowsimmer.store.keeping import export_zip, exported, wipe
from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import Store

DISH, PLATE, FIGURES = DocumentKind.DISH, DocumentKind.PLATE, DocumentKind.FIGURES
SOUP = b"---\ntitle: Soup\nserves: 2\n---\n## Ingredients\n2 carrots\n"
STEW = b"---\ntitle: Stew\nserves: 2\n---\n## Ingredients\n2 beetroots\n"
MEAL = b"title: Lunch\ndishes:\n  - file: soup.md\n    portion: 1 serving\n  - stew.md\n"


def zipped(files: dict[str, bytes], packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", packing) as packed:
        for name, data in files.items():
            packed.writestr(zipfile.ZipInfo(name) if packing == zipfile.ZIP_STORED else name, data)
    return into.getvalue()


def took(store: Store, files: dict[str, bytes], choices: dict[int, Choice] | None = None) -> list[Incoming]:
    found = preview(store, files.items())
    bring(store, found, choices or {}, "test")
    return found


# Opening


@pytest.mark.parametrize(
    "name", ["../soup.md", "a/../../soup.md", "/etc/soup.md", "C:/soup.md", "..\\soup.md", "a\\..\\..\\soup.md"]
)
def test_a_zip_with_a_path_that_leads_out_of_it_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="leads out of it"):
        files_of(zipped({"fine.md": SOUP, name: SOUP}))


def test_a_zip_of_too_many_files_is_refused() -> None:
    with pytest.raises(InputError, match="too much at once"):
        files_of(zipped({f"{number}.md": b"" for number in range(2001)}))


def test_a_zip_that_unpacks_to_too_much_in_all_is_refused() -> None:
    with pytest.raises(InputError, match="too much at once"):
        files_of(zipped({f"{number}.md": bytes(4 * 1024 * 1024) for number in range(17)}))


def test_a_zip_that_lies_about_a_size_is_refused_before_it_is_unpacked() -> None:
    data = bytearray(zipped({"big.md": bytes(50 * 1024 * 1024)}))
    entry = data.index(b"PK\x01\x02")
    data[entry + 24 : entry + 28] = struct.pack("<I", 1000)  # the size, unpacked, of the directory at the end
    began = time.perf_counter()
    with pytest.raises(InputError):
        files_of(bytes(data))
    assert time.perf_counter() - began < 2


@pytest.mark.parametrize("packing", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_zip_packed_in_an_unusual_way_is_refused(packing: int) -> None:
    with pytest.raises(InputError, match="unusual way"):
        files_of(zipped({"soup.md": SOUP}, packing))


@settings(max_examples=200)
@given(st.integers(0, 10**6), st.integers(1, 255))
def test_a_zip_with_a_changed_byte_is_read_or_refused_in_one_sentence(place: int, change: int) -> None:
    data = bytearray(zipped({"soup.md": SOUP, "kitchen/stew.md": STEW}))
    data[place % len(data)] ^= change
    with suppress(InputError):
        files_of(bytes(data))


@given(st.binary(max_size=200))
def test_bytes_that_are_no_zip_are_refused(data: bytes) -> None:
    with pytest.raises(InputError):
        files_of(b"PK\x03\x04" + data)


def test_hidden_files_and_links_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    (tmp_path / "a").mkdir()
    for name in (".git/x.md", ".hidden.md", "a/soup.md", "a/picture.png"):
        (tmp_path / name).write_bytes(SOUP)
    (tmp_path / "link.md").symlink_to("/etc/hostname")
    assert [name for name, _ in files_of(tmp_path)] == ["a/soup.md"]
    packed = zipped({"__MACOSX/._soup.md": b"\x00", "a/.soup.md": b"", "a/soup.md": SOUP})
    assert [name for name, _ in files_of(packed)] == ["a/soup.md"]


def test_one_file_and_one_zip_by_their_paths(tmp_path: Path) -> None:
    (tmp_path / "soup.md").write_bytes(SOUP)
    (tmp_path / "all.zip").write_bytes(zipped({"stew.md": STEW}))
    (tmp_path / "big.md").write_bytes(bytes(5 * 1024 * 1024))
    assert files_of(tmp_path / "soup.md") == [("soup.md", SOUP)]
    assert files_of(tmp_path / "all.zip") == [("stew.md", STEW)]
    with pytest.raises(InputError, match="too much at once"):
        files_of(tmp_path / "big.md")
    with pytest.raises(InputError, match="cannot be read"):
        files_of(tmp_path / "none.md")


# Looking


def test_duplicates_are_marked(store: Store) -> None:
    took(store, {"soup.md": SOUP})
    more = [(f"{folder}/new.md", SOUP + end) for folder, end in (("a", b"x"), ("b", b"x"), ("c", b"y"))]
    files = [("soup.md", SOUP), ("other.md", SOUP + b"\n"), ("soup.md", STEW), ("b/stew.md", STEW), *more]
    found = preview(store, files)
    assert [each.standing for each in found] == [
        Standing.SAME, Standing.ALIKE, Standing.TAKEN, Standing.ALIKE, Standing.NEW, Standing.ALIKE, Standing.TAKEN,
    ]  # fmt: skip
    assert "'soup' says the same" in found[1].why
    assert "'a/new.md' says the same" in found[5].why
    assert [each.usual for each in found].count(Choice.LEAVE) == 4


def test_the_same_text_under_two_names_is_the_same_as_both(store: Store) -> None:
    store.create(DISH, "soup", SOUP.decode(), "test")
    store.create(DISH, "soup", SOUP.decode(), "test")
    found = preview(store, files_of(export_zip(store)))
    assert {(each.name, each.standing) for each in found} == {("soup", Standing.SAME), ("soup-2", Standing.SAME)}


def test_a_preview_changes_nothing(store: Store) -> None:
    preview(store, files_of(KITCHEN))
    assert store.is_empty()


@pytest.mark.parametrize(
    ("file", "data"),
    [("a.txt", SOUP), ("a.md", b"\xff\xfe\x00"), ("a.md", b"\x00"), ("a.json", b"{"), ("a.json", b"{}"),
     ("a.html", b"<p>hello"), ("own.csv", b"what,is,this\n1,2,3\n")],
)  # fmt: skip
def test_what_cannot_be_used_is_named_with_the_reason(store: Store, file: str, data: bytes) -> None:
    (found,) = took(store, {file: data})
    assert found.standing is Standing.UNUSABLE
    assert found.why
    assert store.is_empty()


def test_a_dish_that_is_not_whole_says_so_and_can_be_taken(store: Store) -> None:
    half, data = took(
        store, {"half.md": b"---\ntitle: Half", "x.json": b'{"@type":"Recipe","recipeIngredient":["1 egg"]}'}
    )
    assert half.why == "It is not a whole dish yet: no number of servings and no ingredients."
    assert data.why == "It is not a whole dish yet: no number of servings."
    assert store.head(DISH, "half").text == "---\ntitle: Half"


# Taking


@pytest.mark.parametrize(
    "text",
    [
        "",
        "---",
        "---\ntitle: Half",
        "no dish at all",
        "a: [",
        "title: x\ndishes: []\n",
        "\n\n  blank  \n\n",
        "½ ☕ \u2028 x",
    ],
)
def test_every_kept_text_comes_back_from_an_export(store: Store, text: str) -> None:
    store.create(DISH, "Half", text, "test")
    store.create(PLATE, "Half", text, "test")
    kept = dict(exported(store))
    out = export_zip(store)
    wipe(store)
    bring(store, preview(store, files_of(out)), {}, "test")
    assert dict(exported(store)) == kept


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.tuples(st.sampled_from([DISH, PLATE]), st.sampled_from(["soup", "soup-2", "stew", "dish", "plate"])),
        st.one_of(st.text(st.characters(codec="utf-8", exclude_characters="\r\0\ufeff")), st.just(MEAL.decode())),
    )
)
def test_export_wipe_and_bring_back_are_equal(store: Store, texts: dict[tuple[DocumentKind, str], str]) -> None:
    wipe(store)
    for (kind, name), text in texts.items():
        store.create(kind, name, text, "test")
    kept, out = dict(exported(store)), export_zip(store)
    wipe(store)
    found = preview(store, files_of(out))
    bring(store, found, dict.fromkeys(range(len(found)), Choice.BOTH), "test")
    assert dict(exported(store)) == kept


def test_a_plate_goes_on_naming_its_dish_when_that_takes_another_name(store: Store) -> None:
    took(store, {"soup.md": STEW})
    took(store, {"k/soup.md": SOUP, "k/lunch.yaml": MEAL, "k/stew.md": STEW})
    text = store.head(PLATE, "lunch").text
    assert "file: soup-2.md" in text
    assert "- soup.md" in text  # the stew was kept already, under the name of soup
    assert store.head(DISH, "soup-2").text.encode() == SOUP


def test_a_plate_finds_dishes_by_path_by_title_and_by_a_tidied_name(store: Store) -> None:
    meal = (
        b"title: Soup day.md\ndishes:\n- {file: '../d/My Soup.md', portion: half}\n- file: rice.json\n- file: gone.md\n"
    )
    recipe = b'{"@type": "Recipe", "name": "Plum rice", "recipeYield": "2", "recipeIngredient": ["100 g rice"]}'
    files = {"p/day.yaml": meal, "d/My Soup.md": SOUP, "p/rice.json": recipe}
    took(store, files)
    text = store.head(PLATE, "day").text
    assert (
        text
        == "title: Soup day.md\ndishes:\n- {file: 'my-soup.md', portion: half}\n- file: plum-rice.md\n- file: gone.md\n"
    )
    assert {each.standing for each in preview(store, files.items())} == {Standing.SAME}


def test_a_removed_document_is_put_back_by_a_new_version(store: Store) -> None:
    took(store, {"soup.md": SOUP})
    store.remove(DISH, "soup", "test")
    (found,) = preview(store, [("soup.md", SOUP)])
    assert (found.standing, found.usual) == (Standing.TAKEN, Choice.BOTH)
    bring(store, [found], {0: Choice.VERSION}, "test")
    assert store.get(DISH, "soup").removed_at is None
    assert store.count(DISH) == 1


def test_a_stopped_import_says_how_many_it_took_and_keeps_them(store: Store) -> None:
    files = {f"dish {number}.md": SOUP + b"%d" % number for number in range(9)}
    told: list[tuple[int, int]] = []
    watch = Watch(lambda done, whole: told.append((done, whole)), lambda: len(told) == 4)
    done = bring(store, preview(store, files.items()), {}, "test", watch)
    assert (done.stopped, done.counts) == (True, {Choice.TAKE: 4})
    assert done.words == "Stopped: 4 brought in, 0 left out. What was brought in stays."
    assert told == [(1, 9), (2, 9), (3, 9), (4, 9)]
    assert store.count(DISH) == 4
    again = bring(store, preview(store, files.items()), {}, "test")
    assert (again.counts[Choice.TAKE], again.counts[Choice.LEAVE], store.count(DISH)) == (5, 4, 9)


def test_a_choice_that_is_not_possible_is_not_followed(store: Store) -> None:
    took(store, {"soup.md": SOUP})
    took(store, {"soup.md": SOUP, "a.txt": b""}, {0: Choice.TAKE, 1: Choice.TAKE})
    assert store.count(DISH) == 1
