"""Runs the migrations on the connection handed over by :mod:`wetend.records.schema`."""

from __future__ import annotations

from alembic import context

from wetend.records.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
)
context.run_migrations()
