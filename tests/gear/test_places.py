"""Places form one tree; a position holds one item, and nothing lies in a place out of use."""

from datetime import datetime

import pytest
from builders import a_place, an_item
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import items, lookup, places, views
from kb.records.tables.gear import Code


def paths(session: Session) -> list[str]:
    return [line.path for line in views.place_lines(session)]


def test_a_place_lies_in_another_and_has_a_code(session: Session, at: datetime) -> None:
    a_place(session, "RR")
    code = places.add_place(session, {"name": "R1", "kind": "rack", "within": "RR"}, at)
    place = lookup.place(session, "RR/R1")
    assert place.kind == "rack"
    assert session.get_one(Code, code).place_id == place.key


def test_a_name_is_unique_in_its_place_whatever_its_case(session: Session) -> None:
    for room in ("RR", "ST"):
        a_place(session, room)
        a_place(session, "R1", within=room)
    with pytest.raises(ConflictError, match="There is a place 'R1' there already"):
        a_place(session, "r1", within="RR")
    with pytest.raises(ConflictError, match="There is a place 'RR' there already"):
        a_place(session, "rr")


def test_a_kind_that_is_none_is_refused(session: Session, at: datetime) -> None:
    with pytest.raises(InvalidError, match="kind: 'planet' is none of 'site', 'room'"):
        places.add_place(session, {"name": "RR", "kind": "planet"}, at)
    with pytest.raises(NotFoundError, match="No place 'nowhere'"):
        places.add_place(session, {"name": "R1", "within": "nowhere"}, at)


def test_a_place_moves_in_the_tree(session: Session) -> None:
    a_place(session, "RR")
    a_place(session, "ST")
    a_place(session, "R1", within="RR")
    places.change_place(session, "R1", {"within": "ST"})
    assert paths(session) == ["RR", "ST", "ST/R1"]
    places.change_place(session, "R1", {"name": "R9"})
    assert paths(session) == ["RR", "ST", "ST/R9"]
    places.change_place(session, "R9", {"within": ""})
    assert paths(session) == ["R9", "RR", "ST"]


def test_a_place_does_not_lie_in_itself(session: Session) -> None:
    a_place(session, "RR")
    a_place(session, "R1", within="RR")
    for within in ("RR", "RR/R1"):
        with pytest.raises(ConflictError, match="RR can't lie in itself"):
            places.change_place(session, "RR", {"within": within})


def test_a_place_where_several_lie_becomes_no_position(session: Session) -> None:
    a_place(session, "desk")
    for name in ("CC-01", "CC-02"):
        an_item(session, name, place="desk")
    with pytest.raises(ConflictError, match="desk is a position for one item, and CC-01, CC-02"):
        places.change_place(session, "desk", {"kind": "position"})


def test_a_place_is_retired_once_nothing_lies_there(session: Session, at: datetime) -> None:
    a_place(session, "RR")
    a_place(session, "R1", within="RR")
    an_item(session, place="R1")
    with pytest.raises(ConflictError, match="1 places still lie in RR"):
        places.retire_place(session, "RR", at)
    with pytest.raises(ConflictError, match="CC-01 still lie in R1"):
        places.retire_place(session, "R1", at)
    items.set_state(session, "CC-01", "retired", at, "burnt")
    places.retire_place(session, "R1", at)
    assert paths(session) == ["RR"]
    a_place(session, "R1", within="RR")


def test_two_places_become_one(session: Session, at: datetime) -> None:
    a_place(session, "RR")
    gone = places.add_place(session, {"name": "rack room", "kind": "room"}, at)
    a_place(session, "R1", within="rack room")
    an_item(session, place="rack room")
    places.merge_place(session, "rack room", "RR")
    assert paths(session) == ["RR", "RR/R1"]
    assert lookup.place(session, gone).name == "RR"
    key = lookup.place(session, "RR").key
    assert lookup.item(session, "CC-01").place_id == key


def test_a_place_changed_since_it_was_looked_at_is_not_merged(session: Session) -> None:
    for name in ("RR", "rack room"):
        a_place(session, name)
    seen = lookup.place(session, "rack room").version
    places.change_place(session, "rack room", {"kind": "area"})
    with pytest.raises(ConflictError, match="area"):
        places.merge_place(session, "rack room", "RR", seen)
    places.merge_place(session, "rack room", "RR", seen + 1)


def test_places_that_can_not_be_one_are_refused(session: Session) -> None:
    a_place(session, "RR")
    a_place(session, "R1", within="RR")
    a_place(session, "ST")
    a_place(session, "r1", within="ST")
    with pytest.raises(ConflictError, match="are one place already"):
        places.merge_place(session, "RR", "rr")
    with pytest.raises(ConflictError, match="RR/R1 lies in RR"):
        places.merge_place(session, "RR", "RR/R1")
    with pytest.raises(ConflictError, match="both hold a place 'r1'"):
        places.merge_place(session, "ST", "RR")
    places.merge_place(session, "RR/R1", "RR")


def test_two_positions_that_are_both_filled_are_not_one(session: Session) -> None:
    for number in (1, 2):
        a_place(session, f"recorder {number}", kind="position")
        an_item(session, f"RC-0{number}", place=f"recorder {number}")
    with pytest.raises(ConflictError, match="is a position for one item"):
        places.merge_place(session, "recorder 1", "recorder 2")


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, at: datetime) -> None:
    a_place(session)
    seen = lookup.place(session, "RR").version
    places.change_place(session, "RR", {"kind": "area"}, seen)
    with pytest.raises(ConflictError, match="kind 'room' -> 'area'"):
        places.change_place(session, "RR", {"kind": "desk"}, seen)
    with pytest.raises(ConflictError, match="kind 'room' -> 'area'"):
        places.retire_place(session, "RR", at, seen)
