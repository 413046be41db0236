"""An entry as pages show it: its words of the trade lead to the glossary."""

from dataclasses import replace
from functools import cache

from sqlmodel import Session

from kb.entries import folders, library, linking
from kb.entries.glossary import Word
from kb.entries.library import EntryPage
from kb.records import workspace

ADDRESS = "/entries/glossary"


@cache
def words() -> tuple[Word, ...]:
    """Return the words of the glossary that comes with the program."""
    return folders.words(workspace.starter("entries"))


def entry_page(session: Session, slug: str) -> EntryPage:
    """Return an entry as it stands now, its words linked where they are read first.

    Raises:
        NotFoundError: There is none of that slug.
    """
    found = library.entry_page(session, slug)
    return replace(found, entry=linking.linked(found.entry, words(), ADDRESS))
