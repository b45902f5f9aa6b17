"""What alembic runs: the steps on the connection that the engine hands over, in its transaction."""

from __future__ import annotations

from alembic import context

from lowsimmer.store.tables import METADATA

context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA, transactional_ddl=True)
context.run_migrations()
