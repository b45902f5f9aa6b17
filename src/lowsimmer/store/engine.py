"""Opening a store: which database, its settings for safe writes, and its tables brought up to date.

SQLite: write-ahead log, so that reading goes on while something is written; synchronous=FULL, so that what is
acknowledged survives a power cut; foreign keys on. Every writing transaction takes the lock at its start (BEGIN
IMMEDIATE), so that two writers wait for each other instead of failing half way.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, select, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import SQLAlchemyError

from lowsimmer.domain.errors import InputError
from lowsimmer.store.tables import REVISION, alembic_version

MIGRATIONS = Path(__file__).parent / "migrations"
BUSY_MS = 10_000
CONNECT_S = 10
POSTGRES = "postgresql"
ONE_AT_A_TIME = 0x6C6F7773  # the advisory lock of those who bring the tables up to date
NEXT_STEP = "Check --store or LOWSIMMER_STORE."


def open_engine(where: str) -> Engine:
    """The database of an SQLite file or a postgresql:// address, up to date. Raises InputError when it cannot be."""
    try:
        engine = _engine(where)
    except (SQLAlchemyError, OSError, ImportError) as error:
        raise _not_opened(error) from error
    try:
        upgrade(engine)
    except (SQLAlchemyError, OSError) as error:
        engine.dispose()
        raise _not_opened(error) from error
    except InputError:
        engine.dispose()
        raise
    return engine


def _not_opened(error: Exception) -> InputError:
    reason = getattr(error, "strerror", None) or str(getattr(error, "orig", None) or error) or "no reason is given"
    return InputError(f"The store cannot be opened: {reason.strip().splitlines()[0].rstrip('.')}.", NEXT_STEP)


def _engine(where: str) -> Engine:
    scheme, marked, _ = where.partition("://")
    if not where.strip() or (marked and scheme.partition("+")[0] != POSTGRES):
        raise InputError(f"'{scheme[:60]}' is no place for a store: it is a file, or postgresql://...", NEXT_STEP)
    return _postgres(where) if marked else _sqlite(Path(where))


def _postgres(where: str) -> Engine:
    try:
        address = make_url(where)
    except ValueError as error:  # said without its words: they may hold a part of the password
        raise InputError("The store cannot be opened: its address cannot be read.", NEXT_STEP) from error
    if address.drivername == POSTGRES:
        address = address.set(drivername=f"{POSTGRES}+psycopg")
    patience = {} if "connect_timeout" in address.query else {"connect_timeout": CONNECT_S}
    return create_engine(address, pool_pre_ping=True, pool_size=8, connect_args=patience)


def _sqlite(path: Path) -> Engine:
    path.parent.mkdir(parents=True, exist_ok=True)
    address = URL.create("sqlite", database=str(path))
    engine = create_engine(address, connect_args={"timeout": BUSY_MS / 1000}, pool_size=8)

    @event.listens_for(engine, "connect")
    def settings(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # the driver opens no transaction by itself: `begin` below does
        for words in (f"busy_timeout={BUSY_MS}", "journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {words}")
        # SQLite's own knows only A to Z; a search for 'żurek' finds 'Żurek' by this one.
        connection.create_function("lower", 1, _lower, deterministic=True)

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _lower(words: str | None) -> str | None:
    return None if words is None else words.lower()


def upgrade(engine: Engine) -> None:
    """Bring the tables up to date by the migrations that come with the package. Raises InputError for a newer store."""
    with engine.connect() as connection:
        if _revision(connection) == REVISION:
            return
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        if engine.dialect.name == POSTGRES:
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": ONE_AT_A_TIME})
        _refuse_another(connection)
        _migrate(connection)


def _revision(connection: Connection) -> str | None:
    """The last step that the tables went through; None for a new store."""
    if not inspect(connection).has_table(alembic_version.name):
        return None
    return connection.execute(select(alembic_version.c.version_num)).scalar_one_or_none()


def _refuse_another(connection: Connection) -> None:
    """Raise InputError for a store of a newer version, and for an SQLite file of another program."""
    found = _revision(connection)
    if found is not None and found > REVISION:
        raise InputError("The store was written by a newer Lowsimmer.", "Install that version, or name another store.")
    if found is None and connection.dialect.name != POSTGRES and inspect(connection).get_table_names():
        raise InputError("The file holds the data of another program.", "Name another file for the store.")


def _migrate(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
