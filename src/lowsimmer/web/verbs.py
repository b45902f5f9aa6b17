"""The verbs of the bench for the command line: serve, backup, restore, export, import. Each returns its JSON record."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from getpass import getpass
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from lowsimmer.domain.errors import InputError
from lowsimmer.store.bring import Choice, Incoming, bring, files_of, preview
from lowsimmer.store.keeping import Manifest, backup, check_backup, export_folder, export_zip, restore
from lowsimmer.store.store import Store, open_store
from lowsimmer.web.pages.home import begin_with
from lowsimmer.web.serve import POSTGRES, private_folder, run, set_password, settings_for, where_of

Record = dict[str, Any]
ZIP = ".zip"


@contextmanager
def _opened(arguments: argparse.Namespace, made: bool = False) -> Iterator[Store]:
    """The store of a verb; unless it may be `made`, it must be there. Raises InputError."""
    where = where_of(arguments.store)
    if made:
        private_folder()
    elif not where.startswith(POSTGRES) and not Path(where).is_file():
        raise InputError(f"There is no bench in '{where}'.", "Name its store with --store, or start one: serve.")
    store = open_store(where)
    try:
        yield store
    finally:
        store.close()


def serve(arguments: argparse.Namespace) -> Record | None:
    """Start the bench and serve until it is stopped (None: all was said meanwhile), or set its password."""
    if arguments.set_password:
        return _set_password()
    where = where_of(arguments.store)
    settings = settings_for(arguments.host, arguments.port, tuple(arguments.allow_host), where, arguments.rate)
    with _opened(arguments, made=True) as store:
        if arguments.begin:
            begin_with(store, arguments.begin)

        def told(address: str) -> None:
            locked = settings.password_hash is not None
            record = {"address": address, "store": _place(store), "password": locked}
            print(json.dumps(record) if arguments.json else _standing(record), flush=True)

        run(store, settings, told)
    print("Stopped. Everything that was acknowledged is kept.", file=sys.stderr if arguments.json else sys.stdout)
    return None


def _place(store: Store) -> str:
    """The file of a store, or the address of its database without the password."""
    address = store.engine.url
    return str(address.database if address.get_backend_name() == "sqlite" else address)


def _standing(record: Record) -> str:
    door = ", behind a password" if record["password"] else ""
    return (
        f"The bench stands at {record['address']}{door} (Ctrl-C stops it).\nIt keeps everything in {record['store']}."
    )


def _set_password() -> Record:
    try:
        first, again = getpass("Password: "), getpass("Once more: ")
    except EOFError as error:
        raise InputError("No password was given.", "Type it twice, at a terminal.") from error
    if first != again:
        raise InputError("The two passwords differ.", "Nothing was changed; try again.")
    set_password(first)
    return {"password": True}


def keep_backup(arguments: argparse.Namespace) -> Record:
    """One file with everything in it."""
    file = Path(arguments.file)
    with _opened(arguments) as store:
        if file.resolve() == Path(_place(store)).resolve():
            raise InputError(f"'{file}' is the store itself.", "Name another file for the backup.")
        return _manifest(arguments.file, backup(store, file))


def put_restore(arguments: argparse.Namespace) -> Record:
    """A backup in the place of everything; only with --yes."""
    manifest = check_backup(Path(arguments.file))
    if not arguments.yes:
        raise InputError(
            f"'{arguments.file}' is whole: {manifest.documents} documents, {manifest.versions} versions. "
            "It would replace everything that is kept.",
            "Make a backup first, then add --yes.",
        )
    with _opened(arguments, made=True) as store:
        return _manifest(arguments.file, restore(store, Path(arguments.file)))


def _manifest(file: str, manifest: Manifest) -> Record:
    rows = {"documents": manifest.documents, "versions": manifest.versions}
    return {"file": file, "format": manifest.format, "made_at": manifest.made_at, **rows}


def write_export(arguments: argparse.Namespace) -> Record:
    """Every document as an open file, in a folder or in a zip."""
    into = Path(arguments.folder)
    with _opened(arguments) as store:
        files = _export_zip(store, into) if into.suffix.lower() == ZIP else export_folder(store, into)
        return {"folder": arguments.folder, "files": files}


def _export_zip(store: Store, file: Path) -> list[str]:
    data = export_zip(store)
    try:
        with file.open("xb") as written:
            written.write(data)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise InputError(f"'{file}' cannot be written: {reason}.", "Name another file.") from error
    with ZipFile(file) as packed:
        return packed.namelist()


def take_import(arguments: argparse.Namespace) -> Record:
    """Files looked at and, with --yes, taken in the usual way."""
    with _opened(arguments, made=True) as store:
        incoming = preview(store, [each for name in arguments.files for each in files_of(Path(name))])
        looked: Record = {"looked_at": [_incoming(each) for each in incoming], "brought": None}
        if arguments.yes:
            done = bring(store, incoming, {}, "cli")
            looked["brought"] = {choice.value: done.counts.get(choice, 0) for choice in Choice}
        return looked


def _incoming(each: Incoming) -> Record:
    return {
        "file": each.file,
        "kind": each.kind.value if each.kind else None,
        "name": each.name,
        "standing": each.standing.value,
        "why": each.why,
        "usual": each.usual.value,
    }


def _brought_words(brought: Record | None) -> str:
    """What an import came to; '' for a look at what it would do."""
    if brought is None:
        return ""
    left = brought[Choice.LEAVE.value]
    return f"{sum(brought.values()) - left} brought in, {left} left out."


def words_of(verb: str, record: Record) -> str:
    """The readable form of a record."""
    if verb == "import":
        lines = [
            f"  {each['file']}: {each['standing']}, {each['usual']}. {each['why']}" for each in record["looked_at"]
        ]
        end = _brought_words(record["brought"]) or "Nothing was changed; add --yes to bring them in."
        return "\n".join([*(line.rstrip() for line in lines), end])
    if verb == "export":
        return f"{len(record['files'])} files written to {record['folder']}."
    if verb in {"backup", "restore"}:
        done = "written" if verb == "backup" else "restored"
        return f"{record['file']} {done}: {record['documents']} documents, {record['versions']} versions."
    return "The password is set; it holds from the next start of the bench." if "password" in record else ""
