"""The same tests on SQLite and on PostgreSQL.

PostgreSQL is the server that LOWSIMMER_TEST_POSTGRES names (an address where databases may be made), else a cluster of
its own on a socket in a temporary folder, else those tests are skipped. Every worker has a database of its own.
"""

from __future__ import annotations

import os
import secrets
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url

from lowsimmer.store import tables
from lowsimmer.store.store import Store, open_store

SERVER = os.environ.get("LOWSIMMER_TEST_POSTGRES", "")
BINARIES = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


def _run(folder: str, *words: str) -> None:
    """Run a program of PostgreSQL, which refuses to be root."""
    who = "postgres" if os.geteuid() == 0 else None
    subprocess.run(
        words, check=True, cwd=folder, user=who, group=who, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


@contextmanager
def _own_cluster() -> Iterator[str]:
    """The address of a server that is there for this session only; it forgets everything at the end."""
    programs, folder = BINARIES[-1].parent, tempfile.mkdtemp(prefix="pg")
    control = [str(programs / "pg_ctl"), "-D", f"{folder}/data", "-w", "-l", f"{folder}/log"]
    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, "postgres", "postgres")
        _run(folder, str(programs / "initdb"), "-D", f"{folder}/data", "-U", "bench", "-A", "trust", "--no-sync",
             "-E", "UTF8", "--locale", "C.UTF-8")  # fmt: skip
        _run(folder, *control, "-o", options, "start")
        try:
            yield f"postgresql://bench@/postgres?host={folder}"
        finally:
            _run(folder, *control, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _own_database(server: str) -> Iterator[str]:
    """The address of a database that is there for this session only."""
    address, name = make_url(server).set(drivername="postgresql+psycopg"), f"lowsimmer_{secrets.token_hex(6)}"
    engine = create_engine(address, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    try:
        yield address.set(database=name).render_as_string(hide_password=False)
    finally:
        with engine.connect() as connection:
            connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
        engine.dispose()


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The address of a PostgreSQL server."""
    if SERVER:
        yield SERVER
    elif BINARIES:
        with _own_cluster() as address:
            yield address
    else:
        pytest.skip("PostgreSQL is not installed, and LOWSIMMER_TEST_POSTGRES names no server")


@pytest.fixture(scope="session")
def postgres(server: str) -> Iterator[str]:
    """The address of a database on PostgreSQL; its tables are made by the first who opens it as a store."""
    with _own_database(server) as address:
        yield address


@pytest.fixture
def new_postgres(server: str) -> Iterator[str]:
    """The address of a database that nobody has opened yet."""
    with _own_database(server) as address:
        yield address


@pytest.fixture(scope="session")
def new_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store in which nothing is kept yet, to be copied."""
    path = tmp_path_factory.mktemp("new") / "new.sqlite"
    open_store(str(path)).close()
    return path


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a store without documents is, once in each database."""
    if request.param == "sqlite":
        return str(shutil.copy(request.getfixturevalue("new_file"), tmp_path / "a.sqlite"))
    address: str = request.getfixturevalue("postgres")
    store = open_store(address)
    with store.writing() as connection:
        for table in reversed(tables.METADATA.sorted_tables):
            connection.execute(table.delete())
    store.close()
    return address


@pytest.fixture
def store(place: str) -> Iterator[Store]:
    """An empty store, once in each database."""
    made = open_store(place)
    yield made
    made.close()
