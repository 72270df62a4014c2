"""Alembic's entry point: runs on the connection that `siteapp.store.migrate` hands over."""

from alembic import context

from siteapp.store.base import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    # SQLite's ALTER TABLE is enough for added columns; a batch rebuild would drop triggers without a word.
    render_as_batch=False,
    transaction_per_migration=False,
)
context.run_migrations()
