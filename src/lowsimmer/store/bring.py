"""Bringing files in: looked at first, each with what it is and whether it is kept already; then taken as was chosen.

Read are dishes (.md), plates (.yaml), own figures (.csv) and schema.org recipes (.json, .html, turned into dishes),
one by one, in a folder or in a zip. What cannot be used is named with the reason and left out. A dish or plate that is
not whole yet is kept as it is: it may have been exported half-written.

A plate names its dishes by their files. Where a dish is kept under another name than its file had, or is there already
under another name, the plates that come with it are made to name that one.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial
from pathlib import Path, PurePosixPath

from sqlalchemy import and_, select

from lowsimmer.domain.errors import DomainError, InputError
from lowsimmer.reading.files import decode
from lowsimmer.reading.jsonld import find_recipe
from lowsimmer.reading.pasted import sheet_from
from lowsimmer.reading.plain_yaml import load_mapping
from lowsimmer.reading.sheet import dish_text, sheet_of
from lowsimmer.reference.own import read_own
from lowsimmer.store.records import DocumentKind, Edit, NotKept
from lowsimmer.store.store import Store, slug
from lowsimmer.store.tables import document, version
from lowsimmer.store.titles import title_of

MOST_FILES = 2000
MOST_BYTES = 4 * 1024 * 1024
MOST_TOGETHER = 64 * 1024 * 1024
KINDS = {
    ".md": DocumentKind.DISH, ".json": DocumentKind.DISH, ".jsonld": DocumentKind.DISH, ".html": DocumentKind.DISH,
    ".htm": DocumentKind.DISH, ".yaml": DocumentKind.PLATE, ".yml": DocumentKind.PLATE, ".csv": DocumentKind.FIGURES,
}  # fmt: skip
RECIPES = {".json", ".jsonld", ".html", ".htm"}
FIGURES = "own-figures"
_PLAIN_PACKING = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}  # unpacked piece by piece, so no more than is allowed
_BROKEN = (
    zipfile.BadZipFile, zlib.error, ValueError, OSError, EOFError, RuntimeError, LookupError,
)  # fmt: skip


class Standing(StrEnum):
    """How a file stands to what is kept."""

    NEW = "new"
    SAME = "same as kept"
    TAKEN = "name taken"
    ALIKE = "alike"
    UNUSABLE = "not usable"


class Choice(StrEnum):
    """What to do with a file."""

    TAKE = "take"
    BOTH = "keep both"
    VERSION = "new version"
    LEAVE = "leave"


USUAL = {
    Standing.NEW: Choice.TAKE,
    Standing.SAME: Choice.LEAVE,
    Standing.TAKEN: Choice.BOTH,
    Standing.ALIKE: Choice.LEAVE,
    Standing.UNUSABLE: Choice.LEAVE,
}
POSSIBLE = {
    Standing.NEW: (Choice.TAKE, Choice.LEAVE),
    Standing.SAME: (Choice.LEAVE, Choice.BOTH),
    Standing.TAKEN: (Choice.BOTH, Choice.VERSION, Choice.LEAVE),
    Standing.ALIKE: (Choice.LEAVE, Choice.BOTH),
    Standing.UNUSABLE: (Choice.LEAVE,),
}


@dataclass(frozen=True, slots=True)
class Incoming:
    """One file that was offered: what it is, its text as it would be kept, how it stands, and why.

    `other` is the name under which the same text is kept, `twin` a file offered before it with the same text. `dishes`
    of a plate: for each of its dishes the file of that dish among those offered, empty where there is none.
    """

    file: str
    kind: DocumentKind | None
    name: str
    title: str
    text: str
    standing: Standing
    why: str = ""
    other: str = ""
    twin: str = ""
    dishes: tuple[str, ...] = ()

    @property
    def usual(self) -> Choice:
        """What happens when nothing else is chosen."""
        figures = self.kind is DocumentKind.FIGURES and self.standing is Standing.TAKEN
        return Choice.VERSION if figures else USUAL[self.standing]

    @property
    def possible(self) -> tuple[Choice, ...]:
        """What can be chosen; there is only one table of own figures."""
        if self.kind is DocumentKind.FIGURES and self.standing in {Standing.TAKEN, Standing.ALIKE}:
            return (Choice.VERSION, Choice.LEAVE)
        return POSSIBLE[self.standing]


@dataclass(frozen=True, slots=True)
class Brought:
    """What was done: files by choice, and whether it was stopped before the end."""

    counts: Mapping[Choice, int]
    stopped: bool

    @property
    def words(self) -> str:
        """The result as a sentence."""
        done = sum(count for choice, count in self.counts.items() if choice is not Choice.LEAVE)
        left = self.counts.get(Choice.LEAVE, 0)
        words = f"{done} brought in, {left} left out."
        return f"Stopped: {words} What was brought in stays." if self.stopped else words


@dataclass(frozen=True, slots=True)
class Watch:
    """Who looks on while files are taken: told how far it is, asked whether to stop."""

    progress: Callable[[int, int], None] = lambda _done, _all: None
    stop: Callable[[], bool] = lambda: False


UNWATCHED = Watch()


# Opening


def files_of(given: Path | bytes) -> list[tuple[str, bytes]]:
    """The files of a folder, of a zip, or one file by itself. Raises InputError for what is too much or is no zip."""
    if isinstance(given, bytes):
        return _unzipped(given)
    try:
        if given.is_dir():
            return _within((path.relative_to(given).as_posix(), partial(_start_of, path)) for path in _walk(given))
        if given.suffix.lower() in KINDS:
            return _within([(given.name, partial(_start_of, given))])
        data = _start_of(given, MOST_TOGETHER)
    except OSError as error:
        raise InputError(f"'{given}' cannot be read: {(error.strerror or '').lower()}.", "Check the name.") from error
    return _unzipped(data) if data.startswith(b"PK") else _within([(given.name, lambda _most: data)])


def _start_of(path: Path, most: int) -> bytes:
    """One byte more than is allowed shows that there is more."""
    with path.open("rb") as file:
        return file.read(most + 1)


def _walk(folder: Path) -> list[Path]:
    """The usable files below a folder; links and hidden files are passed over."""
    found = (path for path in sorted(folder.rglob("*")) if path.is_file() and not path.is_symlink())
    return [path for path in found if path.suffix.lower() in KINDS and not _hidden(path.relative_to(folder).parts)]


def _hidden(parts: Iterable[str]) -> bool:
    return any(part.startswith(".") or part == "__MACOSX" for part in parts)


def _unzipped(data: bytes) -> list[tuple[str, bytes]]:
    if len(data) > MOST_TOGETHER:
        raise _too_much("the zip file itself")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            inside = [each for each in packed.infolist() if not each.is_dir()]
            if len(inside) > MOST_FILES:
                raise _too_much(inside[MOST_FILES].filename)
            if sum(each.file_size for each in inside) > MOST_TOGETHER:
                raise _too_much("all of it unpacked")
            shown = [each for each in inside if not _hidden(_path(each).parts)]
            return _within((each.filename, partial(_unpacked, packed, each)) for each in shown)
    except InputError:
        raise
    except _BROKEN as error:
        raise InputError("The zip file is damaged or packed in an unusual way.", "Pack it again.") from error


def _path(each: zipfile.ZipInfo) -> PurePosixPath:
    """The path of a file in a zip. Raises InputError for one that leads out of it."""
    path = PurePosixPath(each.filename)
    odd = any(sign in each.orig_filename for sign in ("\\", "\x00")) or str(path)[1:2] == ":"
    if odd or not path.parts or path.is_absolute() or ".." in path.parts:
        raise InputError(f"The zip file holds a file that leads out of it ('{each.filename[:60]}').", "Pack it again.")
    return path


def _unpacked(packed: zipfile.ZipFile, each: zipfile.ZipInfo, most: int) -> bytes:
    """The bytes of a file in a zip, and one more than allowed at most, whatever the zip says of its size."""
    if each.compress_type not in _PLAIN_PACKING:
        raise ValueError(each.compress_type)
    with packed.open(each) as file:
        return file.read(most + 1)


def _within(files: Iterable[tuple[str, Callable[[int], bytes]]]) -> list[tuple[str, bytes]]:
    """The files, as long as they keep to the limits; of none more is read than is allowed."""
    found: list[tuple[str, bytes]] = []
    together = 0
    for name, read in files:
        data = read(MOST_BYTES)
        together += len(data)
        if len(found) >= MOST_FILES or together > MOST_TOGETHER or len(data) > MOST_BYTES:
            raise _too_much(name)
        found.append((name, data))
    return found


def _too_much(where: str) -> InputError:
    most = f"{MOST_FILES} files, {MOST_BYTES >> 20} MB each, {MOST_TOGETHER >> 20} MB together"
    return InputError(f"That is too much at once (at '{where[:60]}').", f"At most {most}.")


# Looking


def preview(store: Store, files: Iterable[tuple[str, bytes]]) -> list[Incoming]:
    """What each file is and how it stands to what is kept and to the files before it; nothing is changed."""
    looked = [_look(file, data) for file, data in files]
    by_path = {_normal(each.file): each for each in looked if each.kind is DocumentKind.DISH}
    seen = _Seen(store)
    stands = {at: seen.stand(each) for at, each in enumerate(looked) if each.kind is not DocumentKind.PLATE}
    named = {each.file: each.other or each.name for each in stands.values()}
    for at, each in enumerate(looked):
        if each.kind is DocumentKind.PLATE:
            stands[at] = seen.stand(_naming(each, by_path, named))
    return [stands[at] for at in range(len(looked))]


def _look(file: str, data: bytes) -> Incoming:
    """What one file is by itself."""
    path = PurePosixPath(file)
    kind = KINDS.get(path.suffix.lower())
    if kind is None:
        return Incoming(file, None, "", "", "", Standing.UNUSABLE, "This kind of file is not read.")
    try:
        text, why = _text(file, data, kind)
    except DomainError as error:
        return Incoming(file, kind, "", "", "", Standing.UNUSABLE, str(error))
    title = title_of(kind, text) or path.stem
    stem = title if path.suffix.lower() in RECIPES else path.stem
    name = FIGURES if kind is DocumentKind.FIGURES else slug(stem, kind)
    return Incoming(file, kind, name, title, text, Standing.NEW, why)


def _text(file: str, data: bytes, kind: DocumentKind) -> tuple[str, str]:
    """The text as it would be kept, and what is to be said of it. Raises DomainError for what cannot be used."""
    text = decode(data, f"'{file}'").replace("\r\n", "\n")
    if PurePosixPath(file).suffix.lower() in RECIPES:
        text = dish_text(sheet_from(find_recipe(text, f"'{file}'")))
    if kind is DocumentKind.DISH:
        return text, _missing_of_dish(text)
    if kind is DocumentKind.FIGURES:
        if text.strip():
            read_own(text, file)
        return text, ""
    return text, "" if _dishes_of(text) else "It is not a whole plate: it lists no dishes."


def _missing_of_dish(text: str) -> str:
    sheet = sheet_of(text)
    missing = [words for words, there in (
        ("title", sheet.title), ("number of servings", sheet.serves), ("ingredients", sheet.ingredients)
    ) if not there]  # fmt: skip
    return f"It is not a whole dish yet: no {' and no '.join(missing)}." if missing else ""


def _normal(file: str) -> str:
    """A path without '..' and '.', as a plate beside it may write it."""
    parts: list[str] = []
    for part in PurePosixPath(file).parts:
        if part == ".." and parts:
            parts.pop()
        else:
            parts.append(part)
    return "/".join(parts)


def _dishes_of(text: str) -> list[str]:
    """The files that the text of a plate names, one for each of its dishes; none when it cannot be read."""
    try:
        listed = load_mapping(text, "The plate").get("dishes")
    except InputError:
        return []
    entries = [each.get("file") if isinstance(each, dict) else each for each in listed or [] if each]
    return [str(each) for each in entries] if isinstance(listed, list) else []


def _naming(plate: Incoming, by_path: Mapping[str, Incoming], named: Mapping[str, str]) -> Incoming:
    """A plate that names each dish offered with it by the name under which that would be kept."""
    beside = PurePosixPath(plate.file).parent
    found = [by_path.get(_normal(str(beside / file))) for file in _dishes_of(plate.text)]
    dishes = tuple(each.file if each else "" for each in found)
    return replace(plate, dishes=dishes, text=_renamed(plate.text, [named.get(each, "") for each in dishes]))


def _renamed(text: str, names: Sequence[str]) -> str:
    """The text of a plate with other names for its dishes; an empty name leaves what stands there."""
    at = max(text.find("dishes:"), 0)
    for file, name in zip(_dishes_of(text), names, strict=True):
        place = text.find(file, at)
        if place < 0:
            return text
        new = f"{name}.md" if name else file
        text = text[:place] + new + text[place + len(file) :]
        at = place + len(new)
    return text


class _Seen:
    """The texts that are kept and those that were offered before, so that each file is compared once."""

    def __init__(self, store: Store) -> None:
        self.texts: dict[tuple[DocumentKind, str], str] = {}
        self.plain: dict[tuple[DocumentKind, str], tuple[str, str]] = {}  # name, and the file if it was offered now
        self.removed: set[tuple[DocumentKind, str]] = set()
        self.offered: set[tuple[DocumentKind, str]] = set()
        for kind, name, text, removed in _kept(store):
            self.texts[kind, name] = text
            if removed:
                self.removed.add((kind, name))
            else:
                self.plain[kind, _plain(text)] = (name, "")

    def stand(self, each: Incoming) -> Incoming:
        """The file with its standing; it is one of those seen from now on."""
        if each.kind is None or each.standing is Standing.UNUSABLE:
            return each
        key, plain = (each.kind, each.name), (each.kind, _plain(each.text))
        same = self.texts.get(key) == each.text and key not in self.removed
        other, twin = (each.name, "") if same else self.plain.get(plain, ("", ""))
        standing, why = self._again(same, other, twin) if other else self._first(key)
        self.plain.setdefault(plain, (each.name, each.file))
        self.offered.add(key)
        why = " ".join(words for words in (why, each.why) if words)
        return replace(each, standing=standing, why=why, other=other, twin=twin)

    def _first(self, key: tuple[DocumentKind, str]) -> tuple[Standing, str]:
        """How a text stands that is new."""
        if key in self.removed:
            return Standing.TAKEN, f"'{key[1]}' was removed; a new version of it puts it back."
        taken = key in self.texts or key in self.offered
        return (Standing.TAKEN, f"'{key[1]}' is another text.") if taken else (Standing.NEW, "")

    def _again(self, same: bool, other: str, twin: str) -> tuple[Standing, str]:
        """How a text stands that is there already."""
        if same:
            return Standing.SAME, f"'{other}' is kept with this very text."
        return Standing.ALIKE, f"'{twin or other}' says the same."


def _kept(store: Store) -> list[tuple[DocumentKind, str, str, bool]]:
    """Kind, name, newest text and whether it is removed, of every document."""
    of_it = and_(version.c.kind == document.c.kind, version.c.name == document.c.name)
    newest = and_(of_it, version.c.number == document.c.head)
    found = select(document.c.kind, document.c.name, version.c.text, document.c.removed_at).join(version, newest)
    with store.engine.connect() as connection:
        return [
            (DocumentKind(kind), name, text, removed_at is not None)
            for kind, name, text, removed_at in connection.execute(found)
        ]


def _plain(text: str) -> str:
    return " ".join(text.split())


# Taking


def bring(
    store: Store,
    incoming: Sequence[Incoming],
    choices: Mapping[int, Choice],
    writer: str,
    watch: Watch = UNWATCHED,
) -> Brought:
    """Take the files as chosen (by place; the usual otherwise). Each is kept at once; stopping loses none of them."""
    counts: Counter[Choice] = Counter()
    named: dict[str, str] = {}  # the name under which the dish of a file is kept now
    plates_last = sorted(enumerate(incoming), key=lambda pair: pair[1].kind is DocumentKind.PLATE)
    for done, (place, each) in enumerate(plates_last):
        if watch.stop():
            return Brought(counts, True)
        choice = choices.get(place, each.usual)
        choice = choice if choice in each.possible else each.usual
        text = _renamed(each.text, [named.get(file, "") for file in each.dishes]) if each.dishes else each.text
        name = _take(store, replace(each, text=text), choice, writer)
        named[each.file] = named.get(each.twin) or name if choice is Choice.LEAVE else name
        counts[choice] += 1
        watch.progress(done + 1, len(incoming))
    return Brought(counts, False)


def _take(store: Store, each: Incoming, choice: Choice, writer: str) -> str:
    """The name under which the file is kept; for one that was left the name of what is kept instead, or none."""
    if choice is Choice.LEAVE or each.kind is None:
        return each.other
    if choice is Choice.VERSION:
        try:
            kept = store.get(each.kind, each.name)
            store.edit(Edit(each.kind, each.name, kept.head, each.text, writer, "imported"))
            if kept.removed_at:
                store.put_back(each.kind, each.name, writer)
            return each.name
        except NotKept:
            pass
    return store.create(each.kind, each.name, each.text, writer, "imported").name


def usable(incoming: Iterable[Incoming]) -> Iterator[Incoming]:
    """Those that can be taken."""
    return (each for each in incoming if each.standing is not Standing.UNUSABLE)
