"""How far a derived index has read in the change feed; no ORM is loaded here."""

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Position:
    """Up to where a reader has read.

    Attributes:
        base: The mark of the base it was read from.
        start: Every row below this number (SQLite) or transaction (PostgreSQL) is read.
        taken: Rows read already at or above it.
    """

    base: str
    start: int = 0
    taken: frozenset[int] = frozenset()

    def dumps(self) -> str:
        """Return the position as one line of JSON."""
        return json.dumps([self.base, self.start, sorted(self.taken)], separators=(",", ":"))


def loads(dumped: str | None) -> Position | None:
    """Return the position that was dumped, or None where it can't be read."""
    try:
        base, start, taken = json.loads(dumped or "")
        return Position(str(base), int(start), frozenset(int(one) for one in taken))
    except (ValueError, TypeError):
        return None


def of_file(database: Path) -> Position | None:
    """Return the position that an index of this embedded database has when it's up to date.

    One cheap question, so that a search need not load the whole of what writes.

    Args:
        database: The SQLite file.

    Returns:
        None where it can't be asked: missing, damaged, locked, of another schema.
    """
    # SQLite asks for room beside the file even to read it; where there is none, and nothing in a
    # log of it, the file is all there is, and nobody can change it meanwhile.
    ways = ["mode=ro"] if _has_log(database) else ["mode=ro", "mode=ro&immutable=1"]
    for way in ways:
        try:
            return _asked(f"{database.resolve().as_uri()}?{way}")
        except sqlite3.Error:
            continue
    return None


def _asked(address: str) -> Position | None:
    with closing(sqlite3.connect(address, uri=True)) as asked:
        found = asked.execute("SELECT mark, (SELECT max(id) FROM change) FROM base").fetchone()
    return None if found is None else Position(str(found[0]), (found[1] or 0) + 1)


def _has_log(database: Path) -> bool:
    log = database.with_name(f"{database.name}-wal")
    return log.exists() and log.stat().st_size > 0
