"""Bring a store's tables to their newest form."""

from __future__ import annotations

from alembic import command
from alembic.config import Config
from sqlalchemy.engine import Connection


def upgrade(connection: Connection) -> None:
    """Run every migration this database has not had, inside the caller's transaction."""
    config = Config()
    config.set_main_option("script_location", "livery.records:migrations")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
