"""Bring a database to this program's schema; the only module that loads Alembic."""

from alembic import command
from alembic.config import Config
from sqlalchemy import Engine

from kb.records import failures, revision


def upgrade(engine: Engine, to: str = "head") -> None:
    """Run every migration that the database lacks.

    Args:
        engine: An engine on the database.
        to: The last revision to run; the newest that this program knows.

    Raises:
        BusyError: Another writer holds the database.
        StorageError: It can't be written, or is newer than this program.
    """
    with failures.translated(engine.url), engine.connect() as connection:
        revision.require_known(connection)
    config = Config()
    config.set_main_option("script_location", str(revision.MIGRATIONS))
    with failures.translated(engine.url), engine.connect() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, to)
        connection.commit()
