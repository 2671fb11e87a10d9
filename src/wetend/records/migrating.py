"""Run the migrations packaged beside this module."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection


def migrations(connection: Connection | None = None) -> Config:
    """Alembic's settings for the migrations packaged beside this module."""
    config = Config()
    config.set_main_option(
        "script_location", str(Path(__file__).with_name("migrations")).replace("%", "%%")
    )
    config.attributes["connection"] = connection
    return config


def upgrade(connection: Connection) -> None:
    """Bring a database to the newest schema, inside the transaction it is given."""
    command.upgrade(migrations(connection), "head")
