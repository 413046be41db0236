"""Copy every row from one engine to another, whatever schema revision both have.

The tables are read off the SQLite side, so that a base can be copied before it is migrated.
"""

from sqlalchemy import Column, Connection, DateTime, MetaData, Table, event, func, select, text

from kb.records.tables.base import UtcTime

_BATCH = 1000
_STAMP = "alembic_version"
# A transaction's number means nothing on another server (see `kb.records.changes`).
_LEFT_OUT = {"change": "mark"}


def copy_rows(source: Connection, target: Connection) -> int:
    """Copy every row of every table and return how many; the caller commits.

    Args:
        source: A connection to the base, on one consistent state.
        target: A connection to an empty base of the same schema; one of both is SQLite, with
            foreign keys off where it's the target.
    """
    tables = _tables(source if source.dialect.name == "sqlite" else target)
    on_server = target.dialect.name == "postgresql"
    keys = _deferred_keys(target) if on_server else []
    copied = sum(_copy(table, source, target) for table in tables)
    if on_server:
        _checked_keys(target, keys)
        _advance_numbers(target, tables)
    return copied


def _tables(connection: Connection) -> list[Table]:
    """Return the tables with types that mean the same on both engines."""
    metadata = MetaData()
    event.listen(metadata, "column_reflect", _generalise)
    metadata.reflect(connection)
    return [table for table in metadata.sorted_tables if table.name != _STAMP]


def _generalise(_inspector: object, _table: object, column: dict[str, object]) -> None:
    generic = column["type"].as_generic()  # type: ignore[attr-defined]
    column["type"] = UtcTime() if isinstance(generic, DateTime) else generic


def _copy(table: Table, source: Connection, target: Connection) -> int:
    copied = 0
    order = [column.asc() for column in table.primary_key]
    rows = source.execution_options(yield_per=_BATCH).execute(select(table).order_by(*order))
    left_out = _LEFT_OUT.get(table.name)
    for batch in rows.mappings().partitions():
        values = [dict(row) for row in batch]
        if left_out:
            values = [{**row, left_out: None} for row in values]
        target.execute(table.insert(), values)
        copied += len(values)
    return copied


def _deferred_keys(target: Connection) -> list[tuple[str, str]]:
    """Put off the check of every foreign key, since rows name others that come later."""
    found = target.execute(
        text(
            "SELECT conrelid::regclass::text, quote_ident(conname) FROM pg_constraint "
            "WHERE contype = 'f' AND connamespace = current_schema()::text::regnamespace",
        ),
    )
    keys = [(str(table), str(name)) for table, name in found]
    for table, name in keys:
        _alter(target, table, name, "DEFERRABLE INITIALLY DEFERRED")
    return keys


def _checked_keys(target: Connection, keys: list[tuple[str, str]]) -> None:
    target.execute(text("SET CONSTRAINTS ALL IMMEDIATE"))
    for table, name in keys:
        _alter(target, table, name, "NOT DEFERRABLE")


def _alter(target: Connection, table: str, name: str, how: str) -> None:
    target.execute(text(f"ALTER TABLE {table} ALTER CONSTRAINT {name} {how}"))


def _advance_numbers(target: Connection, tables: list[Table]) -> None:
    """Let the server number on behind the rows that came with numbers."""
    for table in tables:
        for column in table.primary_key:
            _advance(target, table, column)


def _advance(target: Connection, table: Table, column: Column[object]) -> None:
    sequence = target.execute(
        select(func.pg_get_serial_sequence(f'"{table.name}"', column.name)),
    ).scalar()
    newest = target.execute(select(func.max(column))).scalar()
    if sequence is not None and newest is not None:
        target.execute(select(func.setval(sequence, newest)))
