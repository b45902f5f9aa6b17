"""The same tests on SQLite and on PostgreSQL: a cluster of its own on a socket in a temporary folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from lowsimmer.store.store import Store, open_store

BINARIES = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


def _run(folder: str, *words: str) -> None:
    """Run a program of PostgreSQL, which refuses to be root."""
    who = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    subprocess.run([*who, *words], check=True, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The address of a server that is there for these tests only."""
    if not BINARIES:
        pytest.skip("PostgreSQL is not installed (Debian's package postgresql)")
    programs, folder = BINARIES[-1].parent, tempfile.mkdtemp(prefix="pg")
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
    _run(folder, str(programs / "initdb"), "-D", f"{folder}/data", "-U", "bench", "-A", "trust", "--no-sync")
    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
    control = [str(programs / "pg_ctl"), "-D", f"{folder}/data", "-w", "-l", f"{folder}/log"]
    _run(folder, *control, "-o", options, "start")
    yield f"postgresql://bench@/postgres?host={folder}"
    _run(folder, *control, "-m", "immediate", "stop")
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """An empty store, once in each database."""
    from lowsimmer.store.keeping import wipe

    where = str(tmp_path / "a.sqlite") if request.param == "sqlite" else request.getfixturevalue("postgres")
    made = open_store(where)
    wipe(made)
    yield made
    made.close()
