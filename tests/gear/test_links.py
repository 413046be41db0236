"""A port takes one plug and a cable is in one place; what was joined stays known."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from builders import BEGAN, a_cable, an_item
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import items, links, paths
from kb.gear.paths import LinkLine

HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def _gear(session: Session) -> None:
    for name in ("CC-01", "CC-02", "VC-01", "VC-02"):
        an_item(session, name)
    for name in ("HD-01", "HD-02"):
        a_cable(session, name)


def joined(session: Session, at: datetime = BEGAN, /, **over: str) -> int:
    ends = {"from_item": "CC-01", "from_port": "out 1", "to_item": "VC-01", "to_port": "in 3"}
    return links.connect(session, {"cable": "HD-01", **ends, **over}, at)


def told(lines: tuple[LinkLine, ...]) -> list[str]:
    return [
        f"{line.cable}: {line.from_item} {line.from_port} > {line.to_item} {line.to_port}"
        for line in lines
    ]


def test_a_cable_joins_two_ports(session: Session) -> None:
    number = joined(session)
    for name in ("HD-01", "CC-01", "VC-01"):
        (line,) = paths.links_of(session, name)
        assert (line.number, line.since, line.until) == (number, BEGAN, None)
        assert told((line,)) == ["HD-01: CC-01 out 1 > VC-01 in 3"]


def test_a_lead_without_a_label_joins_too(session: Session) -> None:
    joined(session, cable="")
    assert told(paths.links_of(session, "CC-01")) == ["None: CC-01 out 1 > VC-01 in 3"]


def test_a_cable_that_is_elsewhere_is_refused_by_name(session: Session) -> None:
    joined(session)
    with pytest.raises(
        ConflictError,
        match=r"HD-01 is in use: HD-01 joins CC-01 out 1 to VC-01 in 3 since 2025-05-19 08:00 UTC",
    ):
        joined(session, from_item="CC-02", to_item="VC-02")


@pytest.mark.parametrize(
    ("over", "part"),
    [
        ({"to_item": "VC-02"}, "CC-01 out 1"),
        ({"to_item": "VC-02", "from_port": "OUT 1"}, "CC-01 OUT 1"),
        ({"from_item": "CC-02"}, "VC-01 in 3"),
        ({"from_item": "CC-02", "to_port": " In  3 "}, "VC-01 In 3"),
    ],
)
def test_a_port_in_use_is_refused_saying_by_what(
    session: Session, over: dict[str, str], part: str
) -> None:
    joined(session)
    with pytest.raises(ConflictError, match=f"^{part} is in use: HD-01 joins CC-01 out 1"):
        joined(session, cable="HD-02", **over)


def test_other_ports_of_the_same_items_are_free(session: Session) -> None:
    joined(session)
    joined(session, cable="HD-02", from_port="out 2", to_port="in 4")
    # An output and an input may have the same name.
    joined(
        session, cable="", from_item="VC-01", from_port="in 3", to_item="CC-01", to_port="out 1"
    )
    assert len(paths.links_of(session, "CC-01")) == 3


@pytest.mark.parametrize("name", ["HD-01", "CC-01", "VC-01"])
def test_what_is_retired_is_refused(session: Session, at: datetime, name: str) -> None:
    items.set_state(session, name, "retired", at, "worn")
    with pytest.raises(ConflictError, match=f"{name} is retired"):
        joined(session)


def test_a_cable_must_be_one(session: Session) -> None:
    with pytest.raises(
        InvalidError, match="CC-02 is of the class call-computer, so it's no cable"
    ):
        joined(session, cable="CC-02")
    an_item(session, "lead", model="")
    with pytest.raises(InvalidError, match="lead has no model of a class, so it's no cable"):
        joined(session, cable="lead")


def test_nothing_is_joined_to_itself(session: Session) -> None:
    with pytest.raises(InvalidError, match="to port: that joins a port to itself"):
        joined(session, to_item="CC-01", to_port="OUT 1")
    with pytest.raises(InvalidError, match="HD-01 can't be the cable and an end"):
        joined(session, to_item="HD-01")
    joined(session, to_item="CC-01", to_port="loop in")


@pytest.mark.parametrize("field", ["from_item", "from_port", "to_item", "to_port"])
def test_an_end_that_is_left_out_is_told(session: Session, field: str) -> None:
    with pytest.raises(InvalidError, match=f"{field.replace('_', ' ')}: it is empty"):
        joined(session, **{field: " "})


def test_what_is_unknown_is_told(session: Session) -> None:
    with pytest.raises(NotFoundError, match="No item 'CC-99'"):
        joined(session, from_item="CC-99")


@pytest.mark.parametrize("named", ["HD-01", "hd-01", "link {}", "Link {}", "#{}"])
def test_a_link_ends_by_its_cable_or_number(session: Session, at: datetime, named: str) -> None:
    number = joined(session)
    assert links.disconnect(session, named.format(number), at) == number
    assert paths.links_of(session, "HD-01") == ()
    (line,) = paths.links_of(session, "HD-01", at - HOUR)
    assert line.until == at
    joined(session, at)


def test_what_is_not_joined_is_not_ended(session: Session, at: datetime) -> None:
    number = joined(session)
    with pytest.raises(NotFoundError, match="It joins nothing now"):
        links.disconnect(session, "HD-02", at)
    with pytest.raises(NotFoundError, match="No link '999'"):
        links.disconnect(session, "link 999", at)
    with pytest.raises(ConflictError, match=r"began later, at 2025-05-19 08:00 UTC"):
        links.disconnect(session, "HD-01", BEGAN - HOUR)
    links.disconnect(session, "HD-01", at)
    with pytest.raises(ConflictError, match=r"ended already, at 2026-03-19 12:00 UTC"):
        links.disconnect(session, f"link {number}", at)


def test_a_link_is_not_told_into_the_time_of_another(session: Session, at: datetime) -> None:
    joined(session)
    links.disconnect(session, "HD-01", at)
    with pytest.raises(ConflictError, match=r"until 2026-03-19 12:00 UTC"):
        joined(session, at - HOUR)
    joined(session, at)


def test_a_link_that_never_was_is_in_nobodys_way(session: Session, at: datetime) -> None:
    joined(session, at)
    links.disconnect(session, "HD-01", at)
    assert paths.links_of(session, "HD-01", at) == ()
    joined(session, at - HOUR)


def test_one_lead_is_swapped_for_another_in_one_act(session: Session, at: datetime) -> None:
    joined(session)
    number = links.replace_cable(session, "HD-01", "HD-02", at)
    assert told(paths.links_of(session, "CC-01")) == ["HD-02: CC-01 out 1 > VC-01 in 3"]
    (line,) = paths.links_of(session, "HD-02")
    assert (line.number, line.since) == (number, at)
    assert told(paths.links_of(session, "CC-01", at - HOUR)) == ["HD-01: CC-01 out 1 > VC-01 in 3"]


def test_a_lead_without_a_label_is_swapped_by_its_number(session: Session, at: datetime) -> None:
    number = joined(session, cable="")
    links.replace_cable(session, f"link {number}", "HD-02", at)
    assert told(paths.links_of(session, "CC-01")) == ["HD-02: CC-01 out 1 > VC-01 in 3"]


def test_a_lead_that_is_elsewhere_is_not_swapped_in(session: Session, at: datetime) -> None:
    joined(session)
    joined(session, cable="HD-02", from_item="CC-02", to_item="VC-02")
    with pytest.raises(ConflictError, match="HD-02 is in use"):
        links.replace_cable(session, "HD-01", "HD-02", at)


def test_a_slip_in_a_link_is_mended(session: Session) -> None:
    number = joined(session)
    links.change_link(session, number, {"cable": "HD-02", "to_port": "in 4"})
    assert told(paths.links_of(session, "CC-01")) == ["HD-02: CC-01 out 1 > VC-01 in 4"]
    links.change_link(session, number, {"cable": "", "since": BEGAN - HOUR})
    (line,) = paths.links_of(session, "CC-01")
    assert (line.cable, line.since) == (None, BEGAN - HOUR)


def test_a_link_ended_by_a_slip_is_opened_again(session: Session, at: datetime) -> None:
    number = joined(session)
    links.disconnect(session, "HD-01", at)
    links.change_link(session, number, {"until": ""})
    assert [line.number for line in paths.links_of(session, "HD-01")] == [number]


def test_a_mend_that_contradicts_is_refused(session: Session, at: datetime) -> None:
    number = joined(session)
    joined(session, cable="HD-02", from_item="CC-02", to_item="VC-02")
    for values in ({"cable": "HD-02"}, {"from_item": "CC-02"}, {"to_item": "VC-02"}):
        with pytest.raises(ConflictError, match="is in use: HD-02 joins"):
            links.change_link(session, number, values)
    with pytest.raises(InvalidError, match="until: it's before the start"):
        links.change_link(session, number, {"until": BEGAN - HOUR})
    links.disconnect(session, "HD-01", at)
    joined(session, at)
    with pytest.raises(ConflictError, match="HD-01 is in use"):
        links.change_link(session, number, {"until": ""})


def test_what_was_joined_long_ago_may_be_mended_though_it_is_retired(
    session: Session, at: datetime
) -> None:
    number = joined(session)
    items.set_state(session, "HD-01", "retired", at, "worn")
    links.change_link(session, number, {"to_port": "in 4"})
    assert told(paths.links_of(session, "HD-01", BEGAN)) == ["HD-01: CC-01 out 1 > VC-01 in 4"]


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, at: datetime) -> None:
    number = joined(session)
    links.change_link(session, number, {"to_port": "in 4"}, seen=1)
    changes: list[Callable[[], object]] = [
        lambda: links.change_link(session, number, {"to_port": "in 5"}, seen=1),
        lambda: links.disconnect(session, "HD-01", at, seen=1),
        lambda: links.replace_cable(session, "HD-01", "HD-02", at, seen=1),
    ]
    for change in changes:
        with pytest.raises(ConflictError, match="to port 'in 3' -> 'in 4'"):
            change()
