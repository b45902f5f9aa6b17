"""Bringing files in: looked at first, each with what it is and whether it is kept already; then taken as was chosen.

Read are dishes (.md), plates (.yaml), own figures (.csv) and schema.org recipes (.json, .html, turned into dishes),
one by one, in a folder or in a zip. What cannot be used is named with the reason and left out.
"""

from __future__ import annotations

import io
import zipfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from pathlib import Path, PurePosixPath

from lowsimmer.domain.errors import DomainError, InputError
from lowsimmer.reading.files import decode
from lowsimmer.reading.jsonld import find_recipe
from lowsimmer.reading.pasted import sheet_from
from lowsimmer.reading.plain_yaml import load_mapping
from lowsimmer.reading.sheet import dish_text
from lowsimmer.reference.own import read_own
from lowsimmer.store.records import DocumentKind, Edit, NotKept
from lowsimmer.store.store import Store, slug
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
    """One file that was offered: what it is, its text as it would be kept, how it stands, and why."""

    file: str
    kind: DocumentKind | None
    name: str
    title: str
    text: str
    standing: Standing
    why: str = ""

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


def files_of(given: Path | bytes) -> list[tuple[str, bytes]]:
    """The files of a folder, of a zip, or one file by itself. Raises InputError when it is too much."""
    if isinstance(given, bytes):
        return _unzipped(given)
    try:
        if given.is_dir():
            return _within(
                (str(path.relative_to(given)), path.stat().st_size, path.read_bytes) for path in _walk(given)
            )
        data = given.read_bytes()
    except OSError as error:
        raise InputError(f"'{given}' cannot be read: {(error.strerror or '').lower()}.", "Check the name.") from error
    return _unzipped(data) if zipfile.is_zipfile(io.BytesIO(data)) else [(given.name, data)]


def _walk(folder: Path) -> list[Path]:
    """The usable files below a folder; links and hidden files are passed over."""
    found = (path for path in sorted(folder.rglob("*")) if path.is_file() and not path.is_symlink())
    return [path for path in found if path.suffix.lower() in KINDS and not path.name.startswith(".")]


def _unzipped(data: bytes) -> list[tuple[str, bytes]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            inside = [each for each in packed.infolist() if not each.is_dir()]
            return _within((each.filename, each.file_size, partial(packed.read, each)) for each in inside)
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError, RuntimeError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("The zip file is damaged.", "Pack it again.") from error


def _within(files: Iterable[tuple[str, int, Callable[[], bytes]]]) -> list[tuple[str, bytes]]:
    """The files, as long as they keep to the limits; sizes are looked at before anything is unpacked."""
    found: list[tuple[str, bytes]] = []
    together = 0
    for name, size, read in files:
        together += size
        if len(found) >= MOST_FILES or together > MOST_TOGETHER or size > MOST_BYTES:
            most = f"{MOST_FILES} files, {MOST_BYTES >> 20} MB each, {MOST_TOGETHER >> 20} MB together"
            raise InputError(f"That is too much at once (at '{name[:60]}').", f"At most {most}.")
        found.append((name, read()))
    return found


def preview(store: Store, files: Iterable[tuple[str, bytes]]) -> list[Incoming]:
    """What each file is and how it stands to what is kept; nothing is changed."""
    seen = _Seen(store)
    return [seen.look(file, data) for file, data in files]


class _Seen:
    """The texts that are kept, so that each file is compared once."""

    def __init__(self, store: Store) -> None:
        self.texts: dict[tuple[DocumentKind, str], str] = {}
        for kind in DocumentKind:
            for each in store.list(kind, count=10**6):
                self.texts[kind, each.name] = store.head(kind, each.name).text
        self.plain = {(kind, _plain(text)): name for (kind, name), text in self.texts.items()}

    def look(self, file: str, data: bytes) -> Incoming:
        """One file."""
        kind = KINDS.get(PurePosixPath(file).suffix.lower())
        if kind is None:
            return Incoming(file, None, "", "", "", Standing.UNUSABLE, "This kind of file is not read.")
        try:
            text = _text(file, data, kind)
        except DomainError as error:
            return Incoming(file, kind, "", "", "", Standing.UNUSABLE, str(error))
        title = title_of(kind, text) or PurePosixPath(file).stem
        stem = title if PurePosixPath(file).suffix.lower() in RECIPES else PurePosixPath(file).stem
        name = FIGURES if kind is DocumentKind.FIGURES else slug(stem, kind)
        standing, why = self._standing(kind, name, text)
        return Incoming(file, kind, name, title, text, standing, why)

    def _standing(self, kind: DocumentKind, name: str, text: str) -> tuple[Standing, str]:
        kept = self.texts.get((kind, name))
        if kept == text:
            return Standing.SAME, f"'{name}' is kept with this very text."
        other = self.plain.get((kind, _plain(text)))
        if other is not None:
            return Standing.ALIKE, f"'{other}' says the same."
        return (Standing.NEW, "") if kept is None else (Standing.TAKEN, f"'{name}' is kept with another text.")


def _plain(text: str) -> str:
    return " ".join(text.split())


def _text(file: str, data: bytes, kind: DocumentKind) -> str:
    """The text as it would be kept. Raises DomainError for what cannot be used."""
    text = decode(data, f"'{file}'").replace("\r\n", "\n")
    if PurePosixPath(file).suffix.lower() in RECIPES:
        return dish_text(sheet_from(find_recipe(text, f"'{file}'")))
    if kind is DocumentKind.PLATE:
        load_mapping(text, f"'{file}'")
    if kind is DocumentKind.FIGURES and text.strip():
        read_own(text, file)
    return text


def bring(
    store: Store,
    incoming: Sequence[Incoming],
    choices: Mapping[int, Choice],
    writer: str,
    watch: Watch = UNWATCHED,
) -> Brought:
    """Take the files as chosen (by place; the usual otherwise). Each is kept at once; stopping loses none of them."""
    counts: Counter[Choice] = Counter()
    for done, each in enumerate(incoming):
        if watch.stop():
            return Brought(counts, True)
        choice = choices.get(done, each.usual)
        choice = choice if choice in each.possible else each.usual
        _take(store, each, choice, writer)
        counts[choice] += 1
        watch.progress(done + 1, len(incoming))
    return Brought(counts, False)


def _take(store: Store, each: Incoming, choice: Choice, writer: str) -> None:
    if choice is Choice.LEAVE or each.kind is None:
        return
    if choice is Choice.VERSION:
        try:
            head = store.get(each.kind, each.name).head
            store.edit(Edit(each.kind, each.name, head, each.text, writer, "imported"))
            return
        except NotKept:
            pass
    store.create(each.kind, each.name, each.text, writer, "imported")


def usable(incoming: Iterable[Incoming]) -> Iterator[Incoming]:
    """Those that can be taken."""
    return (each for each in incoming if each.standing is not Standing.UNUSABLE)
