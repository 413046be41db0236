"""Catch up with the change feed, so that a search finds what is recorded."""

from pathlib import Path

from sqlmodel import Session

from kb.records import changes, position
from kb.search import index, sources
from kb.search.documents import Which
from kb.search.sources import Clock

_TRIES = 3


def catch_up(session: Session, folder: Path, clock: Clock) -> bool:
    """Bring both indexes up to what this unit of work sees; return whether they are.

    False means that another process is indexing or that the disk can't be written: a search
    then answers from what is there.

    Args:
        session: The unit of work, which only reads.
        folder: Where the indexes are; it may be missing.
        clock: The time now and the hold time, on which the evidence depends.
    """
    entries = _catch_up(session, folder, "entries", clock)
    return _catch_up(session, folder, "records", clock) and entries


def _catch_up(session: Session, folder: Path, which: Which, clock: Clock) -> bool:
    for _ in range(_TRIES):
        known = index.position(folder, which)
        feed = changes.since(session, position.loads(known))
        until = feed.position.dumps()
        if known == until:
            return True
        whole = known is None or feed.whole or len(feed.changed) > sources.MANY
        found = None if whole else sources.changed(session, which, feed.changed, clock)
        if known is None or found is None:
            every = sources.everything(session, which, clock)
            outcome = index.rebuild(folder, which, every, until=until)
        else:
            outcome = index.apply(folder, which, *found, since=known, until=until)
        if outcome != "moved":
            return outcome == "done"
    return False
