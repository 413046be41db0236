"""What hangs on an item up and down the signal path, now and as it was."""

from datetime import datetime, timedelta

import pytest
from builders import BEGAN, a_cable, an_item
from sqlalchemy import Engine, event
from sqlmodel import Session

from kb.gear import links, paths
from kb.gear.paths import PathLine

CHAIN = ("CC-01", "VC-01", "SW-01", "MV-01")


def join(session: Session, start: str, end: str, cable: str = "", at: datetime = BEGAN) -> int:
    values = {"cable": cable, "from_item": start, "from_port": f"to {end}"}
    return links.connect(session, {**values, "to_item": end, "to_port": f"from {start}"}, at)


def told(lines: tuple[PathLine, ...]) -> list[str]:
    return [f"{line.depth} {line.link.from_item} > {line.link.to_item}" for line in lines]


@pytest.fixture(autouse=True)
def _chain(session: Session) -> None:
    a_cable(session, "HD-01")
    for name in (*CHAIN, "CC-02", "RC-01"):
        an_item(session, name)
    join(session, "CC-01", "VC-01")
    join(session, "VC-01", "SW-01", "HD-01")
    join(session, "CC-02", "SW-01")
    join(session, "SW-01", "MV-01")
    join(session, "SW-01", "RC-01")


def test_what_feeds_an_item_is_told_nearest_first(session: Session) -> None:
    assert told(paths.path_up(session, "MV-01")) == [
        "1 SW-01 > MV-01",
        "2 CC-02 > SW-01",
        "2 VC-01 > SW-01",
        "3 CC-01 > VC-01",
    ]
    assert paths.path_up(session, "CC-01") == ()


def test_what_an_item_feeds_is_told_nearest_first(session: Session) -> None:
    assert told(paths.path_down(session, "VC-01")) == [
        "1 VC-01 > SW-01",
        "2 SW-01 > MV-01",
        "2 SW-01 > RC-01",
    ]
    assert paths.path_down(session, "MV-01") == ()


def test_a_cable_begins_with_what_it_joins(session: Session) -> None:
    assert told(paths.path_up(session, "HD-01")) == ["1 VC-01 > SW-01", "2 CC-01 > VC-01"]
    assert told(paths.path_down(session, "HD-01"))[:1] == ["1 VC-01 > SW-01"]


def test_a_ring_is_walked_once(session: Session) -> None:
    join(session, "MV-01", "SW-01")
    join(session, "SW-01", "SW-01")
    walked = told(paths.path_down(session, "SW-01"))
    assert walked == [
        "1 SW-01 > MV-01",
        "1 SW-01 > RC-01",
        "1 SW-01 > SW-01",
        "2 MV-01 > SW-01",
    ]


def test_the_path_of_another_time_is_that_of_then(session: Session, at: datetime) -> None:
    links.disconnect(session, "HD-01", at)
    assert told(paths.path_up(session, "MV-01")) == ["1 SW-01 > MV-01", "2 CC-02 > SW-01"]
    then = at - timedelta(seconds=1)
    assert "3 CC-01 > VC-01" in told(paths.path_up(session, "MV-01", then))
    assert paths.path_up(session, "MV-01", BEGAN - timedelta(seconds=1)) == ()


def test_a_level_costs_one_query_however_wide_it_is(session: Session, engine: Engine) -> None:
    for number in range(20):
        an_item(session, f"MV-{number + 10}")
        join(session, "SW-01", f"MV-{number + 10}")
    session.flush()
    asked: list[str] = []
    event.listen(engine, "before_cursor_execute", lambda *given: asked.append(given[2]))
    assert len(paths.path_down(session, "CC-01")) == 24
    levels = 3
    assert len([one for one in asked if "FROM link" in one]) == levels + 1  # and one finds none
