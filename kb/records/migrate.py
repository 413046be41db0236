"""Bring a database to this program's schema; the only module that loads Alembic."""

from importlib.resources import as_file, files

from alembic import command
from alembic.config import Config
from sqlalchemy import Engine

from kb.records import failures, revision


def upgrade(engine: Engine) -> None:
    """Run every migration that the database lacks.

    Raises:
        BusyError: Another writer holds the database.
        StorageError: It can't be written, or is newer than this program.
    """
    with failures.translated(engine.url), engine.connect() as connection:
        revision.require_known(connection)
    with as_file(files("kb.records") / "migrations") as scripts, failures.translated(engine.url):
        config = Config()
        config.set_main_option("script_location", str(scripts))
        with engine.connect() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            connection.commit()
