"""A calendar's key: shown once, kept as a digest, ended at any time."""

from datetime import datetime

import pytest
from sqlmodel import Session, select

from kb.crew import feeds, pairings, people
from kb.errors import InvalidError, NotFoundError
from kb.records.tables.crew import Feed


@pytest.fixture
def key(session: Session, at: datetime) -> str:
    people.add_person(session, {"name": "M.O.", "role": "lead"})
    return feeds.add_feed(session, {"person": "M.O.", "device": "wall"}, at).key


def test_the_key_opens_and_its_digest_alone_is_kept(session: Session, key: str) -> None:
    found = feeds.opened(session, key)

    assert found is not None
    assert (found.number, found.place_id) == (1, None)
    kept = session.scalars(select(Feed)).one()
    assert key not in (kept.secret, kept.device)
    assert feeds.opened(session, kept.secret) is None
    assert feeds.opened(session, key + "x") is None


def test_it_opens_nothing_that_a_pairing_opens(session: Session, key: str, at: datetime) -> None:
    assert pairings.holder(session, key, at) is None


def test_ended_it_opens_nothing(session: Session, key: str) -> None:
    (line,) = feeds.feeds(session)

    assert feeds.end_feed(session, line.number, line.version) == "wall"

    assert feeds.opened(session, key) is None
    assert feeds.feeds(session) == ()
    for number in (1, 99, 10**30, -1):
        with pytest.raises(NotFoundError):
            feeds.end_feed(session, number)


def test_with_who_is_forgotten_it_ends(session: Session, key: str) -> None:
    people.forget_person(session, "M.O.")

    assert feeds.opened(session, key) is None
    assert session.scalars(select(Feed)).one().device == "calendar 1"


def test_it_is_in_somebodys_name_and_called_something(session: Session, at: datetime) -> None:
    with pytest.raises(InvalidError, match="device"):
        feeds.add_feed(session, {"person": "M.O."}, at)
    with pytest.raises(NotFoundError):
        feeds.add_feed(session, {"person": "nobody", "device": "wall"}, at)
