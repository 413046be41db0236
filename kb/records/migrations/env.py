"""How Alembic reaches the tables; it is always handed an open connection."""

from alembic import context
from sqlalchemy import text

from kb.records.schema import METADATA


def run() -> None:
    """Run the migrations on the connection, foreign keys checked at the end."""
    connection = context.config.attributes["connection"]
    on_sqlite = connection.dialect.name == "sqlite"
    # A table that SQLite rebuilds would trip the keys that point to it; the pragma does
    # nothing inside a transaction, so it is sent beneath one.
    driver = connection.connection.driver_connection
    if on_sqlite:
        driver.execute("PRAGMA foreign_keys=OFF")
    try:
        context.configure(
            connection=connection,
            target_metadata=METADATA,
            render_as_batch=True,
            compare_type=True,
            transactional_ddl=True,
        )
        with context.begin_transaction():
            context.run_migrations()
            if on_sqlite and connection.execute(text("PRAGMA foreign_key_check")).first():
                msg = "a migration broke a foreign key"
                raise RuntimeError(msg)
    finally:
        if on_sqlite:  # the connection goes back to the pool
            driver.execute("PRAGMA foreign_keys=ON")


run()
