"""What a unit joined ends when it's retired, and stands again where that was a slip."""

from datetime import timedelta

import pytest
from builders import BEGAN, a_cable, an_item
from sqlmodel import Session

from kb.gear import items, links, paths

LATER = BEGAN + timedelta(days=200)


@pytest.fixture(autouse=True)
def _joined(session: Session) -> None:
    for name in ("CC-01", "CC-02", "VC-01"):
        an_item(session, name)
    a_cable(session, "HD-01")
    values = {"from_item": "CC-01", "from_port": "video out", "to_item": "VC-01", "to_port": "in"}
    links.connect(session, values | {"cable": "HD-01"}, BEGAN)


def joins(session: Session) -> list[str]:
    return [
        f"{one.from_item} {one.from_port} | {one.cable} | {one.to_item} {one.to_port}"
        for one in paths.links_of(session, "VC-01")
    ]


def test_taken_back_within_a_day_it_joins_what_it_joined(session: Session) -> None:
    assert items.set_state(session, "CC-01", "retired", LATER, "wrong label") == (1,)
    assert joins(session) == []

    assert items.set_state(session, "CC-01", "fit", LATER + timedelta(hours=2)) == (2,)

    assert joins(session) == ["CC-01 video out | HD-01 | VC-01 in"]


def test_what_was_joined_otherwise_meanwhile_is_left(session: Session) -> None:
    items.set_state(session, "CC-01", "retired", LATER, "wrong label")
    values = {"from_item": "CC-02", "from_port": "video out", "to_item": "VC-01", "to_port": "in"}
    links.connect(session, values | {"cable": "HD-01"}, LATER)

    assert items.set_state(session, "CC-01", "fit", LATER + timedelta(hours=2)) == ()
    assert joins(session) == ["CC-02 video out | HD-01 | VC-01 in"]


def test_after_a_day_nothing_is_joined_again(session: Session) -> None:
    items.set_state(session, "CC-01", "retired", LATER, "burnt")

    assert items.set_state(session, "CC-01", "fit", LATER + timedelta(days=1, seconds=1)) == ()
    assert joins(session) == []
