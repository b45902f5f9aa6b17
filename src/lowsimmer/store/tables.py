"""The three tables, the same in SQLite and PostgreSQL. The migrations make them; a test keeps both alike."""

from __future__ import annotations

from sqlalchemy import Column, DateTime, ForeignKeyConstraint, Index, Integer, MetaData, String, Table, Text

METADATA = MetaData()
REVISION = "0001"  # the last of the migrations; their numbers grow

document = Table(
    "document",
    METADATA,
    Column("kind", String(10), primary_key=True),
    Column("name", String(80), primary_key=True),
    Column("title", Text, nullable=False),
    Column("head", Integer, nullable=False),
    Column("made_at", DateTime, nullable=False),
    Column("changed_at", DateTime, nullable=False),
    Column("removed_at", DateTime),
    Index("document_by_change", "kind", "changed_at"),
)

version = Table(
    "version",
    METADATA,
    Column("kind", String(10), primary_key=True),
    Column("name", String(80), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("base", Integer, nullable=False),
    Column("text", Text, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("how", String(10), nullable=False),
    Column("writer", String(40), nullable=False),
    Column("restores", Integer),
    ForeignKeyConstraint(["kind", "name"], ["document.kind", "document.name"], name="version_of_document"),
)

setting = Table(
    "setting",
    METADATA,
    Column("key", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)

# alembic's own; not part of what is backed up.
alembic_version = Table("alembic_version", MetaData(), Column("version_num", String(32), primary_key=True))
