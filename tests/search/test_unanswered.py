"""Searches that found nothing are kept, and lead to the entries to write next."""

from datetime import timedelta

import pytest
from builders import an_item
from fault_builders import NOW, an_entry
from sqlmodel import Session, select

from kb.errors import InvalidError, NotFoundError
from kb.records.tables.faults import Unanswered
from kb.search import unanswered
from kb.search.unanswered import UnansweredLine

LATER = NOW + timedelta(hours=1)


def test_what_is_asked_most_comes_first_then_what_was_asked_last(session: Session) -> None:
    for query, at in (
        ("tripod head loose", NOW),
        ("prompter speed", NOW),
        ("spare key", LATER),
        ("prompter  speed ", LATER),
    ):
        unanswered.keep(session, query, at)
    assert unanswered.wanted(session) == (
        UnansweredLine("prompter speed", 2, LATER),
        UnansweredLine("spare key", 1, LATER),
        UnansweredLine("tripod head loose", 1, NOW),
    )
    assert len(unanswered.wanted(session, limit=1)) == 1
    assert unanswered.wanted(session, "spare key") == (UnansweredLine("spare key", 1, LATER),)
    assert unanswered.wanted(session, "spare") == ()


def test_who_asked_with_what_at_hand_is_kept(session: Session) -> None:
    an_item(session)
    assert unanswered.keep(session, " prompter  speed", NOW, "CC-01") == "prompter speed"
    kept = session.scalars(select(Unanswered)).one()
    assert (kept.by, kept.at, kept.item_id) == ("M.O.", NOW, 1)
    with pytest.raises(NotFoundError, match="No item 'CC-99'"):
        unanswered.keep(session, "prompter speed", NOW, "CC-99")


@pytest.mark.parametrize("query", ["", "  ", "a\x00b", "x" * 301])
def test_what_is_no_line_is_not_kept(session: Session, query: str) -> None:
    with pytest.raises(InvalidError, match=r"^query: "):
        unanswered.keep(session, query, NOW)


def test_an_answered_search_leaves_the_list_until_it_is_asked_again(session: Session) -> None:
    slug = an_entry(session)
    for _ in range(3):
        unanswered.keep(session, "prompter speed", NOW)
    assert unanswered.answer(session, " prompter  speed", slug) == 3
    assert unanswered.wanted(session) == ()
    with pytest.raises(NotFoundError, match="No unanswered search 'prompter speed'"):
        unanswered.answer(session, "prompter speed", slug)
    unanswered.keep(session, "prompter speed", LATER)
    assert [one.times for one in unanswered.wanted(session)] == [1]


def test_only_an_entry_that_is_there_answers(session: Session) -> None:
    unanswered.keep(session, "prompter speed", NOW)
    with pytest.raises(NotFoundError, match="No entry 'no-such'"):
        unanswered.answer(session, "prompter speed", "no-such")
