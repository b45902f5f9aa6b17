"""The verbs of the bench for the command line: serve, backup, restore, export, import. Each returns its JSON record."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from getpass import getpass
from pathlib import Path
from typing import Any

from lowsimmer.domain.errors import InputError
from lowsimmer.store.bring import Incoming, bring, files_of, preview
from lowsimmer.store.keeping import Manifest, backup, check_backup, export_folder, restore
from lowsimmer.store.store import Store, open_store
from lowsimmer.web.pages.home import begin_with
from lowsimmer.web.serve import run, set_password, settings_for, where_of

Record = dict[str, Any]


@contextmanager
def _opened(arguments: argparse.Namespace) -> Iterator[Store]:
    store = open_store(where_of(arguments.store))
    try:
        yield store
    finally:
        store.close()


def serve(arguments: argparse.Namespace) -> Record:
    """Start the bench, or set its password."""
    if arguments.set_password:
        first, again = getpass("Password: "), getpass("Once more: ")
        if first != again:
            raise InputError("The two passwords differ.", "Nothing was changed; try again.")
        set_password(first)
        return {"password": "set"}
    where = where_of(arguments.store)
    settings = settings_for(arguments.host, arguments.port, tuple(arguments.allow_host), where, arguments.rate)
    store = open_store(where)
    if arguments.begin:
        begin_with(store, arguments.begin)
    run(store, settings)
    return {"stopped": True}


def keep_backup(arguments: argparse.Namespace) -> Record:
    """One file with everything in it."""
    with _opened(arguments) as store:
        return _manifest(arguments.file, backup(store, Path(arguments.file)))


def put_restore(arguments: argparse.Namespace) -> Record:
    """A backup in the place of everything; only with --yes."""
    manifest = check_backup(Path(arguments.file))
    if not arguments.yes:
        raise InputError(
            f"'{arguments.file}' is whole: {manifest.documents} documents, {manifest.versions} versions. "
            "It would replace everything that is kept.",
            "Make a backup first, then add --yes.",
        )
    with _opened(arguments) as store:
        return _manifest(arguments.file, restore(store, Path(arguments.file)))


def _manifest(file: str, manifest: Manifest) -> Record:
    rows = {"documents": manifest.documents, "versions": manifest.versions}
    return {"file": file, "format": manifest.format, "made_at": manifest.made_at, **rows}


def write_export(arguments: argparse.Namespace) -> Record:
    """Every document as an open file."""
    with _opened(arguments) as store:
        return {"folder": arguments.folder, "files": export_folder(store, Path(arguments.folder))}


def take_import(arguments: argparse.Namespace) -> Record:
    """Files looked at and, with --yes, taken in the usual way."""
    with _opened(arguments) as store:
        incoming = preview(store, [each for name in arguments.files for each in files_of(Path(name))])
        looked: Record = {"looked_at": [_incoming(each) for each in incoming], "brought": None}
        if arguments.yes:
            done = bring(store, incoming, {}, "cli")
            looked["brought"] = {choice.value: count for choice, count in done.counts.items()}
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


def words_of(verb: str, record: Record) -> str:
    """The readable form of a record."""
    if verb == "import":
        lines = [
            f"  {each['file']}: {each['standing']}, {each['usual']}. {each['why']}" for each in record["looked_at"]
        ]
        end = "Nothing was changed; add --yes to bring them in." if record["brought"] is None else "Done."
        return "\n".join([*(line.rstrip() for line in lines), end])
    if verb == "export":
        return f"{len(record['files'])} files written to {record['folder']}."
    if verb in {"backup", "restore"}:
        done = "written" if verb == "backup" else "restored"
        return f"{record['file']} {done}: {record['documents']} documents, {record['versions']} versions."
    return "The password is set." if "password" in record else ""
