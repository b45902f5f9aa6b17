"""The door of the store. Each call is one short transaction: when it returns, what it wrote is kept."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Engine, Select, and_, false, func, insert, literal, or_, select, text, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.exc import IntegrityError

from lowsimmer.store import tables
from lowsimmer.store.engine import POSTGRES, open_engine
from lowsimmer.store.merge import merge
from lowsimmer.store.records import Document, DocumentKind, Edit, NotKept, Saved, Step, Version, storable
from lowsimmer.store.steps import after, before, steps_of
from lowsimmer.store.titles import tidy, title_of

OWN_FIGURES = "own-figures"  # the only document of its kind
LONGEST_NAME = 60
TRIES = 20  # for a free name, while others take names in the same moment
NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_DOC, _VER, _SET = tables.document.c, tables.version.c, tables.setting.c


def open_store(where: str) -> Store:
    """The store in an SQLite file or a postgresql:// database; made when it is new. Raises InputError."""
    return Store(open_engine(where))


class Store:
    """Documents with all their versions, and a few settings."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that may write: all of it is kept, or nothing."""
        with self.engine.connect().execution_options(writes=True) as connection, connection.begin():
            yield connection

    # Looking up

    def get(self, kind: DocumentKind, name: str) -> Document:
        """One document, also a removed one. Raises NotKept."""
        with self.engine.connect() as connection:
            return _get(connection, kind, name)

    def head(self, kind: DocumentKind, name: str) -> Version:
        """The newest version of a document. Raises NotKept."""
        found = select(tables.version).join(tables.document, _NEWEST).where(_is(kind, name))
        with self.engine.connect() as connection:
            row = connection.execute(found).first() if storable(name) else None
        if row is None:
            raise _not_kept(kind, name)
        return _as_version(row)

    def version(self, kind: DocumentKind, name: str, number: int) -> Version:
        """One version of a document. Raises NotKept."""
        with self.engine.connect() as connection:
            return _version(connection, kind, name, number)

    def list(
        self, kind: DocumentKind, words: str = "", start: int = 0, count: int = 50, removed: bool = False
    ) -> Sequence[Document]:
        """Documents of a kind, the newest change first; `words` must all stand in the title or the newest text."""
        found = _searched(select(tables.document), kind, words, removed)
        ordered = found.order_by(_DOC.changed_at.desc(), _DOC.name).offset(start).limit(count)
        with self.engine.connect() as connection:
            return [_document(row) for row in connection.execute(ordered)]

    def count(self, kind: DocumentKind, words: str = "", removed: bool = False) -> int:
        """How many documents `list` would find in all."""
        found = _searched(select(func.count()).select_from(tables.document), kind, words, removed)
        with self.engine.connect() as connection:
            return int(connection.execute(found).scalar_one())

    def history(self, kind: DocumentKind, name: str) -> Sequence[Version]:
        """All versions, the newest first. Raises NotKept."""
        with self.engine.connect() as connection:
            _get(connection, kind, name)
            found = select(tables.version).where(_VER.kind == kind.value, _VER.name == name)
            return [_as_version(row) for row in connection.execute(found.order_by(_VER.number.desc()))]

    def steps(self, kind: DocumentKind, name: str) -> Sequence[Step]:
        """The versions as steps, the newest first. Raises NotKept."""
        return steps_of(self.history(kind, name))

    # Writing

    def create(self, kind: DocumentKind, title_or_name: str, text: str, writer: str, how: str = "typed") -> Version:
        """A new document with its first version, under the first free name made from its title.

        Own figures there are only once: where they are kept already, the text becomes their newest version.
        """
        figures = kind is DocumentKind.FIGURES
        edit = Edit(kind, OWN_FIGURES if figures else slug(title_or_name, kind), 0, text, writer, how)
        for left in reversed(range(TRIES)):
            try:
                with self.writing() as connection:
                    return (_figures if figures else _new)(connection, edit, tidy(title_or_name))
            except IntegrityError:  # PostgreSQL: another writer was faster with the same name
                if not left:
                    raise
        raise AssertionError("the last try returns or raises")

    def edit(self, edit: Edit) -> Saved:
        """A new version from an edit; what was written meanwhile by others is merged. Raises NotKept."""
        with self.writing() as connection:
            document = _locked(connection, edit.kind, edit.name)
            base = _version(connection, edit.kind, edit.name, edit.base)
            head = base if edit.base == document.head else _version(connection, edit.kind, edit.name, document.head)
            if head.text == edit.text:
                return Saved(head, head.number)
            if base.text == edit.text:
                return Saved(head, base.number, merged=True)
            if head.number == base.number or head.text == base.text:
                made = _next(connection, document, replace(edit, base=head.number))
                return Saved(made, made.number)
            return _merged(connection, document, base, head, edit)

    def undo(self, kind: DocumentKind, name: str, writer: str) -> Version | None:
        """One step back, as a new version; None at the beginning. Raises NotKept."""
        return self._walk(kind, name, writer, "undone")

    def redo(self, kind: DocumentKind, name: str, writer: str) -> Version | None:
        """One step forward again, as a new version; None when nothing was undone. Raises NotKept."""
        return self._walk(kind, name, writer, "redone")

    def _walk(self, kind: DocumentKind, name: str, writer: str, how: str) -> Version | None:
        with self.writing() as connection:
            document = _locked(connection, kind, name)
            found = select(*_WITHOUT_TEXT).where(_VER.kind == kind.value, _VER.name == name)
            numbered = {version.number: version for version in map(_as_version, connection.execute(found))}
            number = (before if how == "undone" else after)(numbered, document.head)
            if number is None:
                return None
            target = _version(connection, kind, name, number)
            return _next(connection, document, Edit(kind, name, document.head, target.text, writer, how), number)

    def remove(self, kind: DocumentKind, name: str, writer: str) -> None:
        """Take a document off the bench; all of it stays kept. Raises NotKept."""
        self._mark(kind, name, _now())

    def put_back(self, kind: DocumentKind, name: str, writer: str) -> None:
        """Put a removed document back. Raises NotKept."""
        self._mark(kind, name, None)

    def _mark(self, kind: DocumentKind, name: str, removed: datetime | None) -> None:
        with self.writing() as connection:
            _locked(connection, kind, name)
            connection.execute(update(tables.document).where(_is(kind, name)).values(removed_at=removed))

    # Settings and state

    def setting(self, key: str) -> str | None:
        """A setting of the workspace; None when it was never set."""
        with self.engine.connect() as connection:
            return connection.execute(select(_SET.value).where(_SET.key == key)).scalar_one_or_none()

    def set_setting(self, key: str, value: str) -> None:
        """Keep a setting of the workspace."""
        dialect: Any = postgresql if self.engine.dialect.name == POSTGRES else sqlite
        put = dialect.insert(tables.setting).values(key=key, value=value)
        with self.writing() as connection:
            connection.execute(put.on_conflict_do_update(index_elements=["key"], set_={"value": value}))

    def is_empty(self) -> bool:
        """True when no document was ever made."""
        with self.engine.connect() as connection:
            return connection.execute(select(_DOC.name).limit(1)).first() is None

    def check(self) -> Sequence[str]:
        """What is wrong with the store, in words; empty when it is sound."""
        with self.engine.connect() as connection:
            trouble = [] if self.engine.dialect.name == POSTGRES else _sqlite_trouble(connection)
            return [*trouble, *_lost(connection)]

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def _now() -> datetime:
    """Now, in UTC, without a mark: as both databases keep it."""
    return datetime.now(UTC).replace(tzinfo=None)


def _is(kind: DocumentKind, name: str) -> Any:
    return and_(_DOC.kind == kind.value, _DOC.name == name)


_NEWEST = and_(_VER.kind == _DOC.kind, _VER.name == _DOC.name, _VER.number == _DOC.head)
_WITHOUT_TEXT = [literal("").label("text") if column.name == "text" else column for column in tables.version.columns]


def _document(row: Any) -> Document:
    fields = row._mapping
    return Document(DocumentKind(fields["kind"]), *(fields[each] for each in
                    ("name", "title", "head", "made_at", "changed_at", "removed_at")))  # fmt: skip


def _as_version(row: Any) -> Version:
    fields = row._mapping
    return Version(DocumentKind(fields["kind"]), *(fields[each] for each in
                   ("name", "number", "base", "text", "at", "how", "writer", "restores")))  # fmt: skip


def _get(connection: Connection, kind: DocumentKind, name: str, lock: bool = False) -> Document:
    found = select(tables.document).where(_is(kind, name))
    row = connection.execute(found.with_for_update() if lock else found).first() if storable(name) else None
    if row is None:
        raise _not_kept(kind, name)
    return _document(row)


def _not_kept(kind: DocumentKind, name: str) -> NotKept:
    return NotKept(f"There is no {kind.value} called '{tidy(name)[:60]}'.", "See the list of what is kept.")


def _locked(connection: Connection, kind: DocumentKind, name: str) -> Document:
    """The document, locked for this transaction (SQLite has locked the whole file already)."""
    return _get(connection, kind, name, lock=True)


def _version(connection: Connection, kind: DocumentKind, name: str, number: int) -> Version:
    where = and_(_VER.kind == kind.value, _VER.name == name, _VER.number == number)
    possible = storable(name) and 0 < number < 2**31
    row = connection.execute(select(tables.version).where(where)).first() if possible else None
    if row is None:
        raise NotKept(f"The {kind.value} '{tidy(name)[:60]}' has no version {number}.", "See its versions.")
    return _as_version(row)


def _searched(found: Select[Any], kind: DocumentKind, words: str, removed: bool) -> Select[Any]:
    """Only documents of a kind that hold all words."""
    found = found.where(_DOC.kind == kind.value, _DOC.removed_at.is_not(None) if removed else _DOC.removed_at.is_(None))
    if words.strip():
        found = found.join(tables.version, _NEWEST) if storable(words) else found.where(false())
    for word in words.split() if storable(words) else ():
        found = found.where(
            or_(_DOC.title.icontains(word, autoescape=True), _VER.text.icontains(word, autoescape=True))
        )
    return found


def _new(connection: Connection, edit: Edit, title: str) -> Version:
    """A document under a free name, with its first version."""
    alike = _DOC.name.like(f"{edit.name}-%")
    found = select(_DOC.name).where(_DOC.kind == edit.kind.value, or_(_DOC.name == edit.name, alike))
    taken = set(connection.execute(found).scalars())
    name, now = next(name for name in _names(edit.name) if name not in taken), _now()
    values = {"kind": edit.kind.value, "name": name, "head": 1, "made_at": now, "changed_at": now}
    connection.execute(insert(tables.document).values(**values, title=title_of(edit.kind, edit.text) or title or name))
    return _add(connection, Version(edit.kind, name, 1, 0, edit.text, now, edit.how, edit.writer))


def _figures(connection: Connection, edit: Edit, title: str) -> Version:
    """The own figures: new, or another version of those that are kept, which are on the bench with it."""
    try:
        document = _locked(connection, edit.kind, edit.name)
    except NotKept:
        return _new(connection, edit, title)
    connection.execute(update(tables.document).where(_is(edit.kind, edit.name)).values(removed_at=None))
    return _next(connection, document, replace(edit, base=document.head))


def _add(connection: Connection, made: Version) -> Version:
    values = {
        each: getattr(made, each) for each in ("name", "number", "base", "text", "at", "how", "writer", "restores")
    }
    connection.execute(insert(tables.version).values(kind=made.kind.value, **values))
    return made


def _next(connection: Connection, of: Document, edit: Edit, restores: int | None = None) -> Version:
    """The next version of a document, which becomes its newest."""
    number, now = of.head + 1, _now()
    made = Version(of.kind, of.name, number, edit.base, edit.text, now, edit.how, edit.writer, restores)
    values = {"head": number, "changed_at": now, "title": title_of(of.kind, edit.text) or of.title}
    connection.execute(update(tables.document).where(_is(of.kind, of.name)).values(**values))
    return _add(connection, made)


def _merged(connection: Connection, of: Document, base: Version, head: Version, edit: Edit) -> Saved:
    """Both texts: first that of the edit as it was sent, then what it comes to together with what others wrote."""
    sent = of.head + 1
    _add(connection, Version(of.kind, of.name, sent, base.number, edit.text, _now(), edit.how, edit.writer))
    both = merge(base.text, head.text, edit.text)
    together = replace(edit, base=head.number, text=both.text, how="merged")
    made = _next(connection, replace(of, head=sent), together)
    return Saved(made, sent, True, both.doubled)


def _lost(connection: Connection) -> Iterator[str]:
    """Documents whose versions are not all there, and versions that come from one that is not."""
    of_it = and_(_VER.kind == _DOC.kind, _VER.name == _DOC.name)
    counted = select(_DOC.kind, _DOC.name, _DOC.head, func.count(_VER.number), func.max(_VER.number))
    grouped = counted.outerjoin(tables.version, of_it).group_by(_DOC.kind, _DOC.name, _DOC.head)
    for kind, name, head, count, newest in connection.execute(grouped):
        if not head == count == newest:
            yield f"{kind} {name} should have versions 1 to {head}: it has {count}, the newest is {newest}"
    strange = or_(_VER.base < 0, _VER.base >= _VER.number, _VER.restores < 1, _VER.restores >= _VER.number)
    for kind, name, number in connection.execute(select(_VER.kind, _VER.name, _VER.number).where(strange)):
        yield f"{kind} {name}: version {number} does not come from an earlier one"


def _sqlite_trouble(connection: Connection) -> list[str]:
    sound = connection.execute(text("PRAGMA integrity_check")).scalars().all()
    strays = connection.execute(text("PRAGMA foreign_key_check")).all()
    return [*(each for each in sound if each != "ok"), *(f"a row of {row[0]} belongs to nothing" for row in strays)]


def slug(title: str, kind: DocumentKind) -> str:
    """A name for files and addresses: small letters, digits and single hyphens."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    name = "-".join(re.findall(r"[a-z0-9]+", plain))[:LONGEST_NAME].strip("-")
    return name if NAME.fullmatch(name) and name != "new" else kind.value


def _names(name: str) -> Iterator[str]:
    """The name itself, then with 2, 3 ... behind it."""
    yield name
    number = 2
    while True:
        yield f"{name}-{number}"
        number += 1
