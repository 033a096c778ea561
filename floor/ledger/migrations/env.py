"""Runs the migrations on the connection that floor.ledger.migrate hands over, inside its transaction.

Never opens a database of its own.
"""

from alembic import context

from floor.ledger.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,  # SQLite can, as long as we say BEGIN ourselves
)
with context.begin_transaction():
    context.run_migrations()
