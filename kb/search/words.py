"""The crew's own words: what they call things, in words that the search knows."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import Draft, Line, check
from kb.errors import InvalidError, NotFoundError, Problem
from kb.records.tables.base import KEY_LIMIT
from kb.records.tables.entries import OwnWord
from kb.records.unit import writer
from kb.search import thesaurus


class WordDraft(Draft):
    """What somebody says, and what they mean by it."""

    word: Line
    means: Line


@dataclass(frozen=True)
class WordLine:
    """A word of the crew's own, what it means, and who said so."""

    number: int
    word: str
    means: str
    by: str
    at: datetime


def add_word(session: Session, values: dict[str, Any], at: datetime) -> int:
    """Keep what a word of the crew's own means, and return its number.

    Args:
        session: The unit of work.
        values: `word`, one or several words as people say it, and `means`, the same in words that
            entries hold.
        at: The time now.

    Raises:
        InvalidError: One is empty, too long or says nothing that can be searched.
    """
    draft = check(WordDraft, values)
    _require_terms(draft)
    known = session.scalars(
        select(OwnWord).where(
            OwnWord.word == draft.word,
            OwnWord.means == draft.means,
            col(OwnWord.removed_at).is_(None),
        )
    ).first()
    if known is not None:
        return known.key
    own = OwnWord(word=draft.word, means=draft.means, at=at, by=writer(session).who)
    session.add(own)
    session.flush()
    return own.key


def remove_word(session: Session, number: int, at: datetime) -> None:
    """Take back what a word means; it stays in the history.

    Raises:
        NotFoundError: There is no such word, or it was taken back before.
    """
    own = session.get(OwnWord, number) if number < KEY_LIMIT else None
    if own is None or own.removed_at is not None:
        raise NotFoundError("word", str(number), "It may have been taken back already.")
    own.removed_at = at
    session.flush()


def own_words(session: Session) -> tuple[WordLine, ...]:
    """Return the crew's own words in the order of the alphabet."""
    rows = session.scalars(
        select(OwnWord)
        .where(col(OwnWord.removed_at).is_(None))
        .order_by(col(OwnWord.word), col(OwnWord.id))
    )
    return tuple(WordLine(one.key, one.word, one.means, one.by, one.at) for one in rows)


def _require_terms(draft: WordDraft) -> None:
    """Refuse a line of small words alone.

    Raises:
        InvalidError: For such a line.
    """
    lines = {"word": draft.word, "means": draft.means}
    empty = [name for name, line in lines.items() if not thesaurus.phrase_of(line)]
    if empty:
        raise InvalidError(
            Problem(name, "say it with a word that tells it apart.") for name in empty
        )
