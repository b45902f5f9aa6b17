"""Backup, restore and export.

A *backup* is one zip file with everything in it: all documents, all versions, all settings, one JSON object a line, and
a manifest with the format's number, the counts and the SHA-256 of each part. The comment at its end is the SHA-256 of
all that stands before it, so that one changed byte anywhere shows. It is checked before a single row is touched, and
restored in one transaction.

An *export* is what any other program can read: dishes (.md) and plates (.yaml) side by side in `kitchen/`, so that a
plate finds its dishes (`lowsimmer assess kitchen/supper.yaml`), and own figures (.csv) in `figures/`. Only the newest
versions are in it. A file that is there already with another text is not overwritten.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import IO, Any, BinaryIO

from sqlalchemy import Connection, Table, and_, delete, func, insert, select
from sqlalchemy.exc import OperationalError, SQLAlchemyError

from lowsimmer.domain.errors import InputError
from lowsimmer.store.engine import POSTGRES
from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import NAME, Store
from lowsimmer.store.tables import METADATA, document, version

FORMAT = 1
MANIFEST = "manifest.json"
LONGEST_ROW = 64 * 1024 * 1024  # bytes
SEAL = 64  # the length of a SHA-256 in hexadecimal digits
AT_ONCE = 500  # rows written at once
FOLDER = {DocumentKind.DISH: "kitchen", DocumentKind.PLATE: "kitchen", DocumentKind.FIGURES: "figures"}
Progress = Callable[[int, int], None]
Row = dict[str, Any]
_BROKEN = (
    OSError, ValueError, LookupError, TypeError, AttributeError, EOFError, RuntimeError, zlib.error, zipfile.BadZipFile,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says of itself: format, when it was made, rows and checksum of each part."""

    format: int
    made_at: str
    rows: Mapping[str, int]
    sums: Mapping[str, str]

    @property
    def documents(self) -> int:
        """How many documents it holds."""
        return self.rows["document"]

    @property
    def versions(self) -> int:
        """How many versions it holds."""
        return self.rows["version"]


def _tables() -> list[Table]:
    """The tables, those that others point to first."""
    return METADATA.sorted_tables


def backup(store: Store, path: Path) -> Manifest:
    """Write everything to one file. It takes the place of an older one only when it is whole. Raises InputError."""
    unfinished = path.with_name(path.name + ".part")
    try:
        with _at_one_moment(store) as connection, unfinished.open("w+b") as file:
            manifest = _write(connection, file)
            file.seek(-SEAL, os.SEEK_END)
            file.write(_seal(file))
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError(f"'{path}' cannot be written: {reason}.", "Name another file.") from error
    finally:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)
    return manifest


def _at_one_moment(store: Store) -> Connection:
    """A connection that sees the store as it is now, whatever is written meanwhile (SQLite does so by itself)."""
    connection = store.engine.connect()
    if store.engine.dialect.name == POSTGRES:
        connection.execution_options(isolation_level="REPEATABLE READ")
    return connection


def _seal(file: BinaryIO) -> bytes:
    """The checksum of a file without the seal at its end; the file then stands at the place of the seal."""
    left = file.seek(0, os.SEEK_END) - SEAL
    file.seek(0)
    found = hashlib.sha256()
    while left > 0 and (block := file.read(min(left, 1 << 20))):
        found.update(block)
        left -= len(block)
    return found.hexdigest().encode()


def _write(connection: Connection, file: BinaryIO) -> Manifest:
    rows, sums = {}, {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for table in _tables():
            with packed.open(f"{table.name}.jsonl", "w", force_zip64=True) as part:
                rows[table.name], sums[table.name] = _write_rows(connection, table, part)
        made = Manifest(FORMAT, datetime.now(UTC).isoformat(timespec="seconds"), rows, sums)
        head = {"format": made.format, "made_at": made.made_at, "rows": rows, "sums": sums}
        packed.writestr(MANIFEST, json.dumps(head, indent=2))
        packed.comment = b"0" * SEAL
    return made


def _write_rows(connection: Connection, table: Table, part: IO[bytes]) -> tuple[int, str]:
    """All rows of a table into its part: how many, and their checksum."""
    count, found = 0, hashlib.sha256()
    for row in connection.execution_options(yield_per=AT_ONCE).execute(select(table)):
        line = f"{_packed(row._mapping)}\n".encode()
        part.write(line)
        found.update(line)
        count += 1
    return count, found.hexdigest()


def _packed(row: Mapping[Any, Any]) -> str:
    values = {key: value.isoformat() if isinstance(value, datetime) else value for key, value in row.items()}
    return json.dumps(values, ensure_ascii=False)


def check_backup(path: Path) -> Manifest:
    """What a backup holds, after every byte of it was checked. Raises InputError for one that cannot be restored."""
    with _opened(path) as (packed, manifest):
        for table in _tables():
            for _row in _rows(table, packed, manifest):
                pass
        return manifest


@contextmanager
def _opened(path: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    """A backup, its seal looked at; whatever shows it to be damaged is said in one sentence."""
    try:
        with path.open("rb") as file:
            seal = _seal(file)
            if file.read() != seal:
                raise ValueError("seal")
            with zipfile.ZipFile(file) as packed:
                yield packed, _manifest(json.loads(packed.open(MANIFEST).read(LONGEST_ROW)))
    except (InputError, OperationalError):
        raise
    except (*_BROKEN, SQLAlchemyError) as error:
        raise _damaged(path, error) from error


def _damaged(path: Path, error: Exception) -> InputError:
    if isinstance(error, OSError) and error.filename:
        return InputError(f"'{path}' cannot be read: {(error.strerror or '').lower()}.", "Check the name.")
    return InputError(f"'{path.name}' is not a whole backup of the bench.", "Nothing was changed; use another backup.")


def _manifest(head: dict[str, Any]) -> Manifest:
    if not isinstance(head["format"], int) or head["format"] > FORMAT:
        raise InputError(
            f"The backup has format {head['format']!r}; this version reads up to {FORMAT}.",
            "Nothing was changed; use a newer Lowsimmer.",
        )
    return Manifest(head["format"], str(head["made_at"]), dict(head["rows"]), dict(head["sums"]))


def _rows(table: Table, packed: zipfile.ZipFile, manifest: Manifest) -> Iterator[Row]:
    """The rows of one table one by one. Raises ValueError at the end when they are not those that were written."""
    count, found = 0, hashlib.sha256()
    with packed.open(f"{table.name}.jsonl") as part:
        while line := part.readline(LONGEST_ROW):
            if not line.endswith(b"\n"):
                raise ValueError(table.name)
            found.update(line)
            count += 1
            yield _unpacked(table, json.loads(line))
    if found.hexdigest() != manifest.sums[table.name] or count != manifest.rows[table.name]:
        raise ValueError(table.name)


def _unpacked(table: Table, row: Row) -> Row:
    if row.keys() != {column.name for column in table.columns}:
        raise ValueError(table.name)
    if "kind" in row and not (DocumentKind(row["kind"]) and NAME.fullmatch(row["name"])):
        raise ValueError(row["name"])  # a name is part of a path when files are written
    dates = [column.name for column in table.columns if column.type.python_type is datetime and row[column.name]]
    return row | {name: datetime.fromisoformat(row[name]) for name in dates}


def restore(store: Store, path: Path, progress: Progress | None = None) -> Manifest:
    """Put a backup in the place of everything that the store holds, in one transaction. Raises InputError."""
    check_backup(path)
    with _opened(path) as (packed, manifest), store.writing() as connection:
        _empty(connection)
        total, done = sum(manifest.rows.values()), 0
        for table in _tables():
            for batch in _batches(_rows(table, packed, manifest)):
                connection.execute(insert(table), batch)
                done += len(batch)
                if progress:
                    progress(done, total)
        _every_head_is_there(connection)
    return manifest


def _every_head_is_there(connection: Connection) -> None:
    of_it = and_(version.c.kind == document.c.kind, version.c.name == document.c.name)
    newest = and_(of_it, version.c.number == document.c.head)
    lost = select(func.count()).select_from(document.outerjoin(version, newest)).where(version.c.number.is_(None))
    if connection.execute(lost).scalar_one():
        raise ValueError("head")


def _batches(rows: Iterator[Row]) -> Iterator[list[Row]]:
    while batch := list(islice(rows, AT_ONCE)):
        yield batch


def _empty(connection: Connection) -> None:
    for table in reversed(_tables()):
        connection.execute(delete(table))


def wipe(store: Store) -> None:
    """Forget everything. Only for who has said so twice."""
    with store.writing() as connection:
        _empty(connection)


def exported(store: Store) -> Iterator[tuple[str, str]]:
    """File name and text of every document that is on the bench, in the order of the names."""
    of_it = and_(version.c.kind == document.c.kind, version.c.name == document.c.name)
    newest = and_(of_it, version.c.number == document.c.head)
    found = select(document.c.kind, document.c.name, version.c.text).join(version, newest)
    kept = found.where(document.c.removed_at.is_(None)).order_by(document.c.kind, document.c.name)
    with store.engine.connect() as connection:
        for kind, name, text in connection.execute(kept):
            of = DocumentKind(kind)
            yield f"{FOLDER[of]}/{name}{of.suffix}", text


def export_folder(store: Store, folder: Path) -> list[str]:
    """Write every document as an open file into a folder; the names of the files. Raises InputError.

    Nothing is written when a file of another text is in the way: somebody may have worked on it.
    """
    try:
        files = list(exported(store))
        in_the_way = next((name for name, text in files if _differs(folder / name, text)), None)
        if in_the_way:
            raise InputError(f"'{folder / in_the_way}' is there with another text.", "Name a new or empty folder.")
        return [_put(folder, name, text) for name, text in files]
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError(f"'{folder}' cannot be written: {reason}.", "Name another folder.") from error


def _differs(path: Path, text: str) -> bool:
    return path.exists() and path.read_bytes() != text.encode()


def _put(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="")
    return name


def export_zip(store: Store) -> bytes:
    """Every document as an open file, in one zip."""
    return zipped(exported(store))


def zipped(files: Iterable[tuple[str, str]]) -> bytes:
    """Texts by file name as one zip."""
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in files:
            packed.writestr(name, text)
    return into.getvalue()
