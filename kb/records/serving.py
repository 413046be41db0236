"""The run file: which `kitlore serve` works on a workspace just now.

What it says stands in `serve.json`. Whether it's true is told by a lock that its process holds
on `serve.lock`: the system drops it when the process ends, however it ends, while a number of a
process may belong to another one after a restart of the machine. The lock is SQLite's, the one
in the standard library that is the same on every system.
"""

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from kb import __version__
from kb.errors import BusyError, StorageError
from kb.records import disk
from kb.records.settings import write_whole
from kb.records.workspace import Workspace

FILE = "serve.json"
_LOCK = "serve.lock"
# Somebody who only asks holds the lock for a moment, too.
_PATIENCE_SECONDS = 0.25


@dataclass(frozen=True)
class Serving:
    """A running `kitlore serve`.

    Attributes:
        pid: Its process.
        version: The program's.
        schema: The schema that it knows.
        port: Where it listens.
        since: When it began, ISO 8601.
    """

    pid: int
    version: str
    schema: str
    port: int
    since: str

    def __str__(self) -> str:
        """Return it as a part of a sentence."""
        return (
            f"'kitlore serve' {self.version} (process {self.pid}, port {self.port}, since "
            f"{self.since[:16].replace('T', ' ')})"
        )


@contextmanager
def announced(workspace: Workspace, schema: str, port: int, at: datetime) -> Iterator[Serving]:
    """Announce that this process serves the workspace, until it ends.

    Args:
        workspace: What is served.
        schema: The schema that the program knows.
        port: Where it listens.
        at: The time now.

    Raises:
        BusyError: Another one serves it.
        StorageError: The folder can't be written.
    """
    since = at.astimezone(workspace.settings.timezone).isoformat(timespec="seconds")
    mine = Serving(os.getpid(), __version__, schema, port, since)
    with closing(_lock(workspace.folder)) as lock:
        if not _taken(lock):
            require_none(workspace, "Open its page, or stop it first.")
            raise BusyError("Another 'kitlore serve' is ending just now. Try again.")
        path = workspace.folder / FILE
        write_whole(path, json.dumps(asdict(mine), indent=2).encode())
        try:
            yield mine
        finally:
            with suppress(OSError):
                path.unlink(missing_ok=True)


def running(workspace: Workspace) -> Serving | None:
    """Return the `serve` that works on the workspace; one that is dead is none.

    Raises:
        BusyError: One starts just now and hasn't said yet where.
        StorageError: The folder can't be read.
    """
    if not (workspace.folder / _LOCK).exists():
        return None
    with closing(_lock(workspace.folder)) as lock:
        if _taken(lock):
            return None
    try:
        said = json.loads((workspace.folder / FILE).read_bytes())
        return Serving(**said)
    except (OSError, ValueError, TypeError):
        raise BusyError("A 'kitlore serve' starts or ends just now. Try again.") from None


def require_none(workspace: Workspace, mend: str) -> None:
    """Refuse while a `serve` works on the workspace.

    Args:
        workspace: The workspace.
        mend: What to do about it, a sentence.

    Raises:
        BusyError: One does, or starts just now.
    """
    found = running(workspace)
    if found is not None:
        raise BusyError(f"{found} still works on this workspace. {mend}")


def _lock(folder: Path) -> sqlite3.Connection:
    with disk.refusals(folder / _LOCK, "opened"):
        try:
            return sqlite3.connect(folder / _LOCK, timeout=_PATIENCE_SECONDS, isolation_level=None)
        except sqlite3.OperationalError as error:
            raise StorageError(
                f"{folder / _LOCK} can't be opened: {error}. Make the folder writable.", folder
            ) from error


def _taken(lock: sqlite3.Connection) -> bool:
    """Take the lock and return whether it was free."""
    try:
        lock.execute("BEGIN IMMEDIATE")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY:
            return False
        raise StorageError(f"The workspace can't be locked: {error}. Make it writable.") from error
    return True
