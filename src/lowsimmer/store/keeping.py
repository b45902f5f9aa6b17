"""Backup, restore and export.

A *backup* is one zip file with everything in it: all documents, all versions, all settings, one JSON object a line, and
a manifest with the format's number, the counts and the SHA-256 of each part. It is checked before a single row is
touched, and restored in one transaction.

An *export* is what any other program can read: dishes (.md) and plates (.yaml) side by side in `kitchen/`, so that a
plate finds its dishes, and own figures (.csv) in `figures/`. Only the newest versions are in it.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, and_, delete, insert, select

from lowsimmer.domain.errors import InputError
from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import Store
from lowsimmer.store.tables import METADATA, document, version

FORMAT = 1
MANIFEST = "manifest.json"
LARGEST = 1024 * 1024 * 1024  # bytes of one part, unpacked
AT_ONCE = 500  # rows written at once
FOLDER = {DocumentKind.DISH: "kitchen", DocumentKind.PLATE: "kitchen", DocumentKind.FIGURES: "figures"}
Progress = Callable[[int, int], None]
_BROKEN = (OSError, ValueError, KeyError, TypeError, EOFError, NotImplementedError, zlib.error, zipfile.BadZipFile)


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
    """Write everything to one file. It takes the place of an older one only when it is whole."""
    unfinished = path.with_name(path.name + ".part")
    try:
        with store.engine.connect() as connection, unfinished.open("wb") as file:
            manifest = _write(connection, file)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError(f"'{path}' cannot be written: {reason}.", "Name another file.") from error
    finally:
        unfinished.unlink(missing_ok=True)
    return manifest


def _write(connection: Connection, file: Any) -> Manifest:
    rows, sums = {}, {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for table in _tables():
            lines = [_packed(row._mapping) for row in connection.execute(select(table))]
            part = "".join(f"{line}\n" for line in lines).encode()
            rows[table.name], sums[table.name] = len(lines), hashlib.sha256(part).hexdigest()
            packed.writestr(f"{table.name}.jsonl", part)
        made = Manifest(FORMAT, datetime.now().isoformat(timespec="seconds"), rows, sums)
        head = {"format": made.format, "made_at": made.made_at, "rows": rows, "sums": sums}
        packed.writestr(MANIFEST, json.dumps(head, indent=2))
    return made


def _packed(row: Mapping[Any, Any]) -> str:
    values = {key: value.isoformat() if isinstance(value, datetime) else value for key, value in row.items()}
    return json.dumps(values, ensure_ascii=False)


def check_backup(path: Path) -> Manifest:
    """What a backup holds, after every part of it was checked. Raises InputError for one that cannot be restored."""
    manifest, _ = _checked(path)
    return manifest


def _checked(path: Path) -> tuple[Manifest, dict[str, list[dict[str, Any]]]]:
    """The manifest and the rows of each table. Raises InputError."""
    try:
        with zipfile.ZipFile(path) as packed:
            manifest = _manifest(json.loads(_part(packed, MANIFEST)))
            return manifest, {table.name: _rows(table, packed, manifest) for table in _tables()}
    except InputError:
        raise
    except _BROKEN as error:
        raise _damaged(path) from error


def _damaged(path: Path) -> InputError:
    return InputError(f"'{path.name}' is not a whole backup of the bench.", "Nothing was changed; use another backup.")


def _manifest(head: dict[str, Any]) -> Manifest:
    if not isinstance(head["format"], int) or head["format"] > FORMAT:
        raise InputError(
            f"The backup has format {head['format']!r}; this version reads up to {FORMAT}.",
            "Nothing was changed; use a newer Lowsimmer.",
        )
    return Manifest(head["format"], str(head["made_at"]), dict(head["rows"]), dict(head["sums"]))


def _part(packed: zipfile.ZipFile, name: str) -> bytes:
    if packed.getinfo(name).file_size > LARGEST:
        raise InputError("A part of the backup is larger than any bench.", "Nothing was changed.")
    return packed.read(name)


def _rows(table: Table, packed: zipfile.ZipFile, manifest: Manifest) -> list[dict[str, Any]]:
    """The rows of one table, as they were counted and summed."""
    part = _part(packed, f"{table.name}.jsonl")
    rows = [_unpacked(table, json.loads(line)) for line in part.decode().split("\n") if line]
    if hashlib.sha256(part).hexdigest() != manifest.sums[table.name] or len(rows) != manifest.rows[table.name]:
        raise ValueError(table.name)
    return rows


def _unpacked(table: Table, row: dict[str, Any]) -> dict[str, Any]:
    if row.keys() != {column.name for column in table.columns}:
        raise ValueError(table.name)
    dates = [column.name for column in table.columns if column.type.python_type is datetime and row[column.name]]
    return row | {name: datetime.fromisoformat(row[name]) for name in dates}


def restore(store: Store, path: Path, progress: Progress | None = None) -> Manifest:
    """Put a backup in the place of everything that the store holds, in one transaction. Raises InputError."""
    manifest, rows = _checked(path)
    total, done = sum(manifest.rows.values()), 0
    with store.writing() as connection:
        _empty(connection)
        for table in _tables():
            for batch in _batches(rows[table.name]):
                connection.execute(insert(table), batch)
                done += len(batch)
                if progress:
                    progress(done, total)
    return manifest


def _batches(rows: list[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    return (rows[start : start + AT_ONCE] for start in range(0, len(rows), AT_ONCE))


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
    """Write every document as an open file into a folder; the names of the files. Raises InputError."""
    try:
        return [_put(folder, name, text) for name, text in exported(store)]
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError(f"'{folder}' cannot be written: {reason}.", "Name another folder.") from error


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
