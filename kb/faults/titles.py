"""The headings of fixes, by which attempts are told."""

from collections.abc import Collection

from sqlmodel import Session

from kb.entries import library, parse
from kb.entries.model import Entry
from kb.faults.attempts import SWAP

# Entry key and fix key to the fix's heading.
Titles = dict[tuple[int, str], str]


def of_entry(entry: Entry) -> dict[str, str]:
    """Return the headings of an entry's fixes, the swap's among them, by key."""
    swap = {SWAP: entry.swap.title} if entry.swap else {}
    return {fix.key: fix.title for fix in entry.fixes} | swap


def of_entries(session: Session, keys: Collection[int]) -> Titles:
    """Return the headings of the fixes of some entries; withdrawn ones tell none."""
    if not keys:
        return {}
    return {
        (key, fix): title
        for key, text in library.texts(session, tuple(keys)).items()
        for fix, title in of_entry(parse.entry_from(text)).items()
    }
