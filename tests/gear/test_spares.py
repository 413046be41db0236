"""How many spares lie ready is counted from the things themselves, now and as it was."""

from datetime import datetime, timedelta

import pytest
from builders import BEGAN, a_cable, a_drive, a_model, a_place, an_item
from fault_builders import a_fault, a_try
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import drives, items, links, loans, places, spares

DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)


@pytest.fixture(autouse=True)
def _gear(session: Session) -> None:
    a_place(session, "C1", kind="drawer")
    a_place(session, "left", within="C1")
    a_place(session, "RR")
    for name in ("CC-01", "VC-01"):
        an_item(session, name, place="RR")
    for name in ("HD-01", "HD-02", "HD-03"):
        a_cable(session, name, place="C1/left" if name == "HD-03" else "C1")


def a_rule(session: Session, **over: object) -> None:
    values = {"name": "leads", "minimum": 2, "models": "Ribbonet 3", "place": "C1", **over}
    spares.set_spare(session, values)


def join(session: Session, cable: str, at: datetime) -> None:
    values = {"cable": cable, "from_item": "CC-01", "from_port": "out", "to_item": "VC-01"}
    links.connect(session, {**values, "to_port": "in"}, at)


def test_one_with_an_open_fault_is_no_spare_until_it_works_again(
    session: Session, at: datetime
) -> None:
    a_rule(session)
    number = a_fault(session, "HD-01", at)
    after = at + timedelta(hours=2)

    assert [one.ready for one in spares.spares(session, after)] == [2]
    a_try(session, number, fix="", what="bent it straight", at=after)
    assert [one.ready for one in spares.spares(session, after + SECOND)] == [3]
    assert [one.ready for one in spares.spares(session, at + SECOND)] == [2]
    assert [one.ready for one in spares.spares(session, at - SECOND)] == [3]


def test_what_is_fit_free_and_at_the_place_or_in_it_counts(session: Session, at: datetime) -> None:
    a_rule(session)
    a_model(session, name="Stout 2")
    a_cable(session, "HD-04", model="Stout 2", place="C1")  # another model
    a_cable(session, "HD-05", place="RR")  # another place
    a_cable(session, "HD-06")  # nobody knows where
    assert spares.count(session, "leads", at) == 3


def test_what_is_not_ready_does_not_count_while_it_is_not(session: Session, at: datetime) -> None:
    a_rule(session)
    join(session, "HD-01", at)
    loans.lend(session, "HD-02", {"borrower": "a school"}, at + DAY)
    items.set_state(session, "HD-03", "doubtful", at + 2 * DAY)
    loans.take_back(session, "HD-02", at + 3 * DAY)
    links.disconnect(session, "HD-01", at + 4 * DAY)
    items.set_state(session, "HD-03", "retired", at + 5 * DAY, "worn")
    items.move_item(session, "HD-01", "RR", at + 6 * DAY)
    counted = {
        BEGAN - SECOND: 0,
        BEGAN: 3,
        at - SECOND: 3,
        at: 2,
        at + DAY: 1,
        at + 2 * DAY: 0,
        at + 3 * DAY: 1,
        at + 4 * DAY: 2,
        at + 5 * DAY: 2,
        at + 6 * DAY - SECOND: 2,
        at + 6 * DAY: 1,
    }
    assert {when: spares.count(session, "leads", when) for when in counted} == counted


def test_an_end_of_a_link_is_no_spare(session: Session, at: datetime) -> None:
    spares.set_spare(session, {"name": "computers", "minimum": 1, "models": "Parlour 2"})
    assert spares.count(session, "computers", at) == 2
    join(session, "HD-01", at)
    assert spares.count(session, "computers", at) == 0


def test_a_doubled_record_counts_once(session: Session, at: datetime) -> None:
    a_rule(session)
    items.merge_item(session, "HD-01", "HD-02", at)
    assert spares.count(session, "leads", at) == 2
    assert spares.count(session, "leads", BEGAN) == 2


def test_where_a_thing_lay_counts_though_the_place_is_gone(session: Session, at: datetime) -> None:
    a_rule(session)
    items.move_item(session, "HD-03", "RR", at)
    places.retire_place(session, "C1/left", at)
    assert spares.count(session, "leads", at - SECOND) == 3
    assert spares.count(session, "leads", at) == 2


def test_drives_count_that_were_fast_enough_at_their_last_test(
    session: Session, at: datetime
) -> None:
    for name in ("DR-01", "DR-02", "DR-03"):
        a_drive(session, name)
    spares.set_spare(
        session,
        {"name": "drives", "minimum": 2, "models": "Silo 1T", "needed_rate": "41.25 MB/s"},
    )
    drives.add_test(session, "DR-01", "96 MB/s", BEGAN)
    drives.add_test(session, "DR-01", "41.25 MB/s", at)
    drives.add_test(session, "DR-02", "80 MB/s", BEGAN)
    drives.add_test(session, "DR-02", "41 MB/s", at)
    assert spares.count(session, "drives", BEGAN - SECOND) == 0
    assert spares.count(session, "drives", BEGAN) == 2
    assert spares.count(session, "drives", at) == 1


def test_what_is_counted_by_hand_counts_as_it_was_last_counted(
    session: Session, at: datetime
) -> None:
    # The writer of this unit of work writes at that very time.
    spares.set_spare(session, {"name": "cells", "minimum": 24, "on_hand": 30})
    assert spares.count(session, "cells", at) == 30
    assert spares.count(session, "cells", at - SECOND) == 0
    spares.change_spare(session, "cells", {"on_hand": 12}, at)
    assert spares.count(session, "cells", at) == 12


def test_rules_below_their_minimum_are_short(session: Session, at: datetime) -> None:
    a_rule(session, minimum=3)
    spares.set_spare(session, {"name": "cells", "minimum": 24, "on_hand": 30})
    assert spares.short(session, at) == ()
    join(session, "HD-01", at)
    (line,) = spares.short(session, at)
    assert (line.name, line.ready, line.minimum) == ("leads", 2, 3)
    assert (line.models, line.place) == (("Ossprell Ribbonet 3",), "C1")
    assert [line.name for line in spares.spares(session, at)] == ["cells", "leads"]


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"name": "x", "minimum": 1}, "models: none is named"),
        ({"name": "", "minimum": 1, "on_hand": 1}, "name: it is empty"),
        ({"name": "x", "minimum": -1, "on_hand": 1}, "minimum: '-1' does not fit"),
        ({"name": "x", "minimum": "few", "on_hand": 1}, "minimum: 'few' does not fit"),
        (
            {"name": "x", "minimum": 1, "models": "Ribbonet 3", "on_hand": 1},
            "on hand: with models it's counted from their items",
        ),
        (
            {"name": "x", "minimum": 1, "models": "Ribbonet 3", "needed_rate": "1 MB/s"},
            "needed rate: Ossprell Ribbonet 3 is no drive",
        ),
    ],
)
def test_what_does_not_fit_is_told(
    session: Session, values: dict[str, object], sentence: str
) -> None:
    with pytest.raises(InvalidError) as caught:
        spares.set_spare(session, values)
    assert sentence in caught.value.message


def test_what_is_unknown_is_told(session: Session, at: datetime) -> None:
    a_rule(session)
    with pytest.raises(NotFoundError, match="No model 'Nonesuch'"):
        a_rule(session, name="x", models="Nonesuch")
    with pytest.raises(NotFoundError, match="No place 'nowhere'"):
        a_rule(session, name="x", place="nowhere")
    with pytest.raises(NotFoundError, match=r"No rule for spares 'cells'. Known are: leads\."):
        spares.count(session, "cells", at)


def test_a_name_in_use_is_refused_whatever_its_case(session: Session, at: datetime) -> None:
    a_rule(session)
    with pytest.raises(ConflictError, match="There is a rule 'leads' already"):
        a_rule(session, name="LEADS")
    a_rule(session, name="other")
    with pytest.raises(ConflictError, match="There is a rule 'leads' already"):
        spares.change_spare(session, "other", {"name": "Leads"}, at)
    spares.change_spare(session, "leads", {"name": "LEADS"}, at)


def test_a_rule_is_changed_and_what_is_not_given_stays(session: Session, at: datetime) -> None:
    a_model(session, name="Stout 2")
    a_cable(session, "HD-04", model="Stout 2", place="C1")
    a_rule(session)
    spares.change_spare(session, "leads", {"minimum": "4"}, at)
    (line,) = spares.spares(session, at)
    assert (line.minimum, line.ready, line.place) == (4, 3, "C1")
    spares.change_spare(session, "leads", {"models": "Stout 2", "place": ""}, at)
    (line,) = spares.spares(session, at)
    assert (line.models, line.ready, line.place) == (("Ossprell Stout 2",), 1, "")
    spares.change_spare(session, "leads", {"models": "Stout 2; Ribbonet 3"}, at)
    assert spares.count(session, "leads", at) == 4


def test_a_rule_out_of_use_gives_its_name_free(session: Session, at: datetime) -> None:
    a_rule(session)
    spares.remove_spare(session, "Leads", at)
    assert spares.spares(session, at) == ()
    with pytest.raises(NotFoundError, match="Known are: none yet"):
        spares.remove_spare(session, "leads", at)
    a_rule(session)


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, at: datetime) -> None:
    a_model(session, name="Stout 2")
    a_rule(session)
    spares.change_spare(session, "leads", {"models": "Stout 2"}, at, seen=1)
    told = "models 'Ossprell Ribbonet 3' -> 'Ossprell Stout 2'"
    with pytest.raises(ConflictError, match=told):
        spares.change_spare(session, "leads", {"minimum": 9}, at, seen=1)
    with pytest.raises(ConflictError, match=told):
        spares.remove_spare(session, "leads", at, seen=1)
