"""The first tables: documents, their versions, settings."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the three tables."""
    op.create_table(
        "document",
        sa.Column("kind", sa.String(10), primary_key=True),
        sa.Column("name", sa.String(80), primary_key=True),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("head", sa.Integer, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("changed_at", sa.DateTime, nullable=False),
        sa.Column("removed_at", sa.DateTime),
    )
    op.create_index("document_by_change", "document", ["kind", "changed_at"])
    op.create_table(
        "version",
        sa.Column("kind", sa.String(10), primary_key=True),
        sa.Column("name", sa.String(80), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("base", sa.Integer, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("at", sa.DateTime, nullable=False),
        sa.Column("how", sa.String(10), nullable=False),
        sa.Column("writer", sa.String(40), nullable=False),
        sa.Column("restores", sa.Integer),
        sa.ForeignKeyConstraint(["kind", "name"], ["document.kind", "document.name"], name="version_of_document"),
    )
    op.create_table(
        "setting",
        sa.Column("key", sa.String(40), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
    )


def downgrade() -> None:
    """There is nothing before the first step: a backup is the way back."""
    raise NotImplementedError("restore a backup instead")
