"""What was typed becomes an answer: entries first, then items, then faults."""

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from kb.errors import StorageError
from kb.search import asking, confidence, index, listing
from kb.search.asking import Asked, Correction
from kb.search.confidence import Evidence
from kb.search.documents import KINDS, Which
from kb.search.known import Known
from kb.search.listing import Entries, Hit, Wish
from kb.search.reading import CREW, Reader

T = TypeVar("T")


@dataclass(frozen=True)
class Answer:
    """What a search found.

    Attributes:
        query: What was typed.
        hits: Entries, then items, then faults, each best first.
        confident: Whether an entry listed is likely to be the answer.
        lead: How far the first entry is ahead of the second, 0 to 1.
        missing: Indexes that could not be searched: absent, or found damaged just now.
        corrections: What was read as something else than was typed.
        evidence: How well the first entry answers.
    """

    query: str
    hits: tuple[Hit, ...]
    confident: bool
    lead: float
    missing: tuple[Which, ...] = ()
    corrections: tuple[Correction, ...] = ()
    evidence: Evidence = confidence.NONE


@dataclass(frozen=True)
class Opened:
    """The indexes of a folder, held open.

    Attributes:
        folder: Where they are.
        readers: Those that can be read.
        known: What they know of words; none where there are no entries.
    """

    folder: Path
    readers: Mapping[Which, Reader]
    known: Known | None


def search(
    folder: Path,
    text: str,
    *,
    area: str | None = None,
    boost: Mapping[str, float] | None = None,
    limit: int = listing.ENTRIES_LIMIT,
    undo: Collection[str] = (),
) -> Answer:
    """Return what the indexes of a folder hold on what was typed.

    Args:
        folder: Where the indexes are.
        text: What was typed, anything.
        area: The area whose entries come first; the others follow.
        boost: Entry key to the factor that its score is multiplied by.
        limit: The most entries listed.
        undo: What was typed and is to be read as it stands.
    """
    with opened(folder) as indexes:
        return answer(indexes, text, Wish(area, boost or {}, limit, frozenset(undo)))


@contextmanager
def opened(folder: Path) -> Iterator[Opened]:
    """Hold the indexes of a folder open for several queries, by one thread at a time."""
    with ExitStack() as stack:
        readers: dict[Which, Reader] = {}
        for which in KINDS:
            reader = index.open_reader(folder, which)
            if reader is not None:
                stack.callback(reader.close)
                readers[which] = reader
        yield Opened(folder, readers, _known(readers))


def answer(indexes: Opened, text: str, wish: Wish) -> Answer:
    """Return what opened indexes hold on what was typed."""
    asked = _look(indexes, "entries", lambda _: _asked(indexes, text, wish)) or asking.asked(text)
    entries = _look(indexes, "entries", lambda reader: listing.entries(reader, asked, wish))
    records = _look(indexes, "records", lambda reader: listing.records(reader, asked))
    looked: dict[Which, object] = {"entries": entries, "records": records}
    listed = entries or Entries()
    return Answer(
        query=text,
        hits=listed.hits + (records or ()),
        confident=confidence.confident(listed.evidence),
        lead=listed.lead,
        corrections=asked.corrections,
        evidence=listed.evidence,
        missing=tuple(which for which, found in looked.items() if found is None),
    )


def _known(readers: Mapping[Which, Reader]) -> Known | None:
    """Return what the readers know of words; names that stand in records are no slips."""
    if "entries" not in readers:
        return None
    return Known(
        readers["entries"],
        lambda: [
            reader.text(kind)
            for which, reader in readers.items()
            for kind in KINDS[which]
            if kind != CREW
        ],
    )


def _asked(indexes: Opened, text: str, wish: Wish) -> Asked:
    """Return a query taken apart with what the indexes know."""
    known = indexes.known.knowledge(wish.undo) if indexes.known else asking.PLAIN
    return asking.asked(text, known)


def _look(indexes: Opened, which: Which, look: Callable[[Reader], T]) -> T | None:
    """Return what is found in an index, None where it is absent or damaged; that is forgotten."""
    if which not in indexes.readers:
        return None
    try:
        return look(indexes.readers[which])
    except StorageError:
        index.forget(indexes.folder, which)
        return None
