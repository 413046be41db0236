"""What the indexes of a folder hold, as tests ask it."""

import shutil
from pathlib import Path

from fault_builders import NOW
from sqlmodel import Session

from kb.search import index, query, refresh
from kb.search.documents import KINDS, Kind
from kb.search.reading import Found
from kb.search.sources import Clock

CLOCK = Clock(NOW, 7)


def contents(folder: Path) -> dict[tuple[str, str], Found]:
    """Return every document of both indexes."""
    found: dict[tuple[str, str], Found] = {}
    for which in KINDS:
        reader = index.open_reader(folder, which)
        assert reader is not None
        for number in reader._reader.all_doc_ids():
            document = reader.found(number)
            assert (document.kind, document.key) not in found
            found[document.kind, document.key] = document
        reader.close()
    return found


def fresh(session: Session, folder: Path) -> dict[tuple[str, str], Found]:
    """Return what indexes made anew hold."""
    anew = folder.with_name("anew")
    shutil.rmtree(anew, ignore_errors=True)
    assert refresh.catch_up(session, anew, CLOCK)
    return contents(anew)


def found(session: Session, folder: Path, text: str, kind: Kind = "entry") -> list[str]:
    """Return the keys of what a search finds once the index has caught up."""
    assert refresh.catch_up(session, folder, CLOCK)
    return [hit.key for hit in query.search(folder, text).hits if hit.kind == kind]
