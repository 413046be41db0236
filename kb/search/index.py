# mypy: disallow-untyped-calls=False
"""Keep the two indexes and open them.

An index is derived. The files of a commit reach the disk before the table of contents that names
them, and that before the position; so wherever the program stops, the position never claims more
than is in the index, and changes applied twice leave it as applied once. What can't be read
counts as absent, and is built anew.
"""

import contextlib
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, Literal

from whoosh.index import FileIndex, LockError
from whoosh.util.filelock import try_for
from whoosh.util.numeric import byte_to_length

from kb.errors import BusyError, StorageError
from kb.search import documents, reading, state, store
from kb.search.documents import Document, Which
from kb.search.reading import Reader

# 'moved': the index is not where the caller thought; ask for its position again, and act on that.
Outcome = Literal["done", "busy", "moved", "unwritable"]

WAIT = 1.0  # seconds that another process has to finish its commit
_STEP = 0.02
_DECODED = [byte_to_length(mark) for mark in range(256)]


def position(folder: Path, which: Which) -> str | None:
    """Return up to where an index has read; None where it is absent, damaged or of old format."""
    kept = state.read(folder, which)
    if kept is None:
        return None
    if state.unchanged(folder, kept):
        return kept.position
    # After a commit whose position was not written down there is a newer table of contents.
    newer = state.contents(state.files(folder, which)) - state.contents(kept.files)
    return kept.position if newer and _readable(folder, which) else None


def open_reader(folder: Path, which: Which) -> Reader | None:
    """Return an index opened, None where `position` is None; the caller closes it.

    One that raises `StorageError` while it is read is damaged: `forget` it.
    """
    if position(folder, which) is None:
        return None
    try:
        return _open(folder, which)
    except StorageError:
        forget(folder, which)
        return None


def forget(folder: Path, which: Which) -> None:
    """Count an index as absent from now on."""
    state.forget(folder, which)


def apply(
    folder: Path,
    which: Which,
    upserts: Iterable[Document],
    gone: Iterable[tuple[str, str]],
    *,
    since: str,
    until: str,
) -> Outcome:
    """Bring changed documents into an index in one commit, then write down the position.

    Args:
        folder: Where the indexes are.
        which: Which of them.
        upserts: Documents new or changed, as they are now.
        gone: Kind and key of documents that are no more.
        since: The position that the changes start from.
        until: The position that they reach.

    Returns:
        `done`; `busy`: another process is at it; `moved`: the index is not at `since`;
        `unwritable`: the disk is full or read-only. A search may go on with what is there.
    """
    rows = _rows(upserts)
    names = {documents.identity(*pair) for pair in gone} | rows.keys()

    def change(writer: Any) -> None:  # noqa: ANN401
        for name in sorted(names):
            writer.delete_by_term(reading.IDENTITY, name)
        for row in rows.values():
            writer.add_document(**row)
        writer.commit(mergetype=store.tiers)

    def work() -> Outcome:
        kept = state.read(folder, which)
        if kept is None or kept.position != since:
            return "moved"
        if not names and state.unchanged(folder, kept):
            state.write(folder, which, until)
            return "done"
        return _change_or_forget(folder, which, change, until)

    return _attempt(folder, which, work)


def rebuild(folder: Path, which: Which, every: Iterable[Document], *, until: str) -> Outcome:
    """Build an index anew from all its documents; searches go on in the old one meanwhile.

    Args:
        folder: Where the indexes are; made if it isn't there.
        which: Which of them.
        every: Its documents; of faults the newest first, since a search may not read them all.
        until: The position up to which they are as they were.

    Returns:
        As `apply`, never `moved`.
    """
    rows = _rows(every)

    def change(writer: Any) -> None:  # noqa: ANN401
        for row in rows.values():
            writer.add_document(**row)
        writer.commit(mergetype=lambda _writer, _segments: [])

    def work() -> Outcome:
        if not _readable(folder, which):
            forget(folder, which)
            FileIndex.create(store.Storage(folder), store.schema(which), which)
        _change(folder, which, change, until)
        return "done"

    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
    return _attempt(folder, which, work)


def _rows(found: Iterable[Document]) -> dict[str, dict[str, Any]]:
    """Return the fields of each document by its identity; of two with the same the last."""
    return {documents.identity(each.kind, each.key): store.row(each) for each in found}


def _attempt(folder: Path, which: Which, work: Callable[[], Outcome]) -> Outcome:
    """Do the work while no other process does the like."""
    try:
        with _locked(folder, which):
            return work()
    except (BusyError, LockError):
        return "busy"
    except OSError:
        return "unwritable"


@contextlib.contextmanager
def _locked(folder: Path, which: Which) -> Iterator[None]:
    """Hold the lock of an index, over the commit and the position alike.

    Raises:
        BusyError: When another process holds it for longer than `WAIT`.
        OSError: When the folder can't be written.
    """
    lock = store.Storage(folder).lock(f"{which}.lock")
    if not try_for(lock.acquire, timeout=WAIT, delay=_STEP):
        raise BusyError("Another process is bringing the search index up to date. Try again.")
    try:
        yield
    finally:
        lock.release()


def _change_or_forget(
    folder: Path, which: Which, change: Callable[[Any], None], until: str
) -> Outcome:
    """Change an index that may turn out damaged: then it is forgotten, and built anew later."""
    try:
        with reading.damage(but=OSError):
            _change(folder, which, change, until)
    except (StorageError, FileNotFoundError):
        forget(folder, which)
        return "moved"
    return "done"


def _change(folder: Path, which: Which, change: Callable[[Any], None], until: str) -> None:
    """Let a writer change an index and commit, then write down the position."""
    storage = store.Storage(folder)
    writer = FileIndex(storage, store.schema(which), which).writer(timeout=WAIT, delay=_STEP)
    try:
        change(writer)
    finally:
        if not writer.is_closed:
            _abandon(writer, storage)
    state.write(folder, which, until)


def _abandon(writer: Any, storage: store.Storage) -> None:  # noqa: ANN401
    """Give up a writer, whatever state it is in; what it wrote is no part of the index."""
    with contextlib.suppress(Exception):
        writer.cancel()
    if not writer.is_closed:
        writer.writelock.release()
    storage.abandon()


def _open(folder: Path, which: Which) -> Reader:
    """Return an index opened.

    Raises:
        StorageError: When it is absent or damaged.
    """
    storage = store.Storage(folder)
    try:
        with reading.damage():
            return Reader(FileIndex(storage, store.schema(which), which).reader(), _DECODED)
    except StorageError:
        storage.abandon()
        raise


def _readable(folder: Path, which: Which) -> bool:
    """Return whether an index opens, whatever its position."""
    try:
        _open(folder, which).close()
    except StorageError:
        return False
    return True
