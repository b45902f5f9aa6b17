"""Bringing files in: looked at first, each with what it is and whether it is kept already; then taken as was chosen.

Read are dishes (.md), plates (.yaml), own figures (.csv) and schema.org recipes (.json, .html, turned into dishes),
one by one, in a folder or in a zip. What cannot be used is named with the reason and left out. A dish or plate that is
not whole yet is kept as it is: it may have been exported half-written.

A plate names its dishes by their files. Where a dish is kept under another name than its file had, or is there already
under another name, the plates that come with it are made to name that one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import PurePosixPath

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
from lowsimmer.store.unpack import KINDS, files_of

__all__ = ["Brought", "Choice", "Incoming", "Standing", "Watch", "bring", "files_of", "preview", "usable"]
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
