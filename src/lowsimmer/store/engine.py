"""Opening a store: which database, its settings for safe writes, and its tables brought up to date.

SQLite: write-ahead log, so that reading goes on while something is written; synchronous=FULL, so that what is
acknowledged survives a power cut; foreign keys on. Every writing transaction takes the lock at its start (BEGIN
IMMEDIATE), so that two writers wait for each other instead of failing half way.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.exc import SQLAlchemyError

from lowsimmer.domain.errors import InputError

MIGRATIONS = Path(__file__).parent / "migrations"
BUSY_MS = 10_000
POSTGRES = "postgresql"


def open_engine(where: str) -> Engine:
    """The database of an SQLite file or a postgresql:// address, up to date. Raises InputError when it cannot be."""
    try:
        engine = _postgres(where) if where.startswith(POSTGRES) else _sqlite(Path(where))
        upgrade(engine)
    except (SQLAlchemyError, OSError) as error:
        reason = str(getattr(error, "orig", None) or error).strip().splitlines()[0]
        raise InputError(f"The store cannot be opened: {reason}.", "Check --store or LOWSIMMER_STORE.") from error
    return engine


def _postgres(where: str) -> Engine:
    address = where.replace("postgresql://", "postgresql+psycopg://", 1)
    return create_engine(address, pool_pre_ping=True, pool_size=8)


def _sqlite(path: Path) -> Engine:
    path.parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": BUSY_MS / 1000}, pool_size=8)

    @event.listens_for(engine, "connect")
    def settings(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # the driver opens no transaction by itself: `begin` below does
        for words in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", f"busy_timeout={BUSY_MS}"):
            connection.execute(f"PRAGMA {words}")

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def upgrade(engine: Engine) -> None:
    """Bring the tables up to date by the migrations that come with the package."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with engine.execution_options(writes=True).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
