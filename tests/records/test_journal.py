"""Every flush leaves who, when, from, to; nothing that's written can forget it."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from kb.errors import ConflictError, NotFoundError
from kb.records import journal
from kb.records import session as units
from kb.records.journal import Step
from kb.records.tables.gear import Item, Model, Place
from kb.records.tables.journal import History
from kb.records.unit import RecordSession, Writer

LATER = datetime(2026, 3, 20, 9, 0, tzinfo=UTC)


@pytest.fixture
def second(engine: Engine, session: RecordSession) -> Iterator[RecordSession]:
    """A unit of work of somebody else, after a first one that left a model and an item."""
    session.add(Model(maker="Ossprell", name="Ribbonet 3", technical={"length": "3 m"}))
    session.flush()
    session.add(Item(code="000001", name="HD-01", model_id=1, in_service=date(2025, 5, 19)))
    session.commit()
    with units.begin(engine, Writer("K.L.", "phone", LATER)) as unit:
        yield unit


def test_a_new_record_comes_from_nothing(second: RecordSession, at: datetime) -> None:
    assert journal.steps(second, "item", 1) == (
        Step(
            at=at,
            who="M.O.",
            device="terminal",
            kind="item",
            record_id=1,
            version=1,
            changes={
                "code": (None, "000001"),
                "name": (None, "HD-01"),
                "model_id": (None, 1),
                "state": (None, "fit"),
                "in_service": (None, "2025-05-19"),
            },
        ),
    )


def test_a_change_tells_who_when_from_and_to(second: RecordSession) -> None:
    item = journal.for_change(second, Item, 1)
    item.name, item.in_service, item.price_minor = "HD-09", None, 1_450
    second.flush()
    step = journal.steps(second, "item", 1)[-1]
    assert (step.who, step.device, step.at, step.version) == ("K.L.", "phone", LATER, 2)
    assert step.changes == {
        "name": ("HD-01", "HD-09"),
        "in_service": ("2025-05-19", None),
        "price_minor": (None, 1_450),
    }
    assert item.version == 2


def test_data_by_name_are_told_whole(second: RecordSession) -> None:
    journal.for_change(second, Model, 1).technical = {"length": "2 m"}
    second.flush()
    assert journal.steps(second, "model", 1)[-1].changes == {
        "technical": ({"length": "3 m"}, {"length": "2 m"}),
    }


def test_the_same_value_again_is_no_change(second: RecordSession) -> None:
    item = journal.for_change(second, Item, 1)
    item.name, item.in_service = "HD-01", date(2025, 5, 19)
    second.flush()
    assert (item.version, len(journal.steps(second, "item", 1))) == (1, 1)


def test_a_change_and_back_again_is_two_steps_once_flushed(second: RecordSession) -> None:
    item = journal.for_change(second, Item, 1)
    for name in ("HD-02", "HD-01"):
        item.name = name
        second.flush()
    told = [step.changes.get("name") for step in journal.steps(second, "item", 1)]
    assert told == [(None, "HD-01"), ("HD-01", "HD-02"), ("HD-02", "HD-01")]
    assert [step.version for step in journal.steps(second, "item", 1)] == [1, 2, 3]


def test_a_step_is_told_in_one_line(second: RecordSession) -> None:
    item = journal.for_change(second, Item, 1)
    item.name, item.model_id = "HD-09", None
    second.flush()
    line = str(journal.steps(second, "item", 1)[-1])
    assert line == "2026-03-20 09:00 UTC, K.L.: name 'HD-01' -> 'HD-09'; model '1' -> nothing"


def test_what_hangs_on_a_record_can_be_told_as_its_own(second: RecordSession) -> None:
    item = second.get_one(Item, 1)
    journal.add_step(second, item, "tests", "one", "one, two")
    journal.add_step(second, item, "tests", "same", "same")
    assert [step.version for step in journal.steps(second, "item", 1)] == [1, 2]
    assert journal.steps(second, "item", 1)[-1].changes == {"tests": ("one", "one, two")}
    assert item.version == 2
    with pytest.raises(ConflictError, match="tests 'one' -> 'one, two'"):
        journal.for_change(second, Item, 1, seen=1)


def test_a_record_is_never_deleted(second: RecordSession) -> None:
    second.delete(second.get_one(Item, 1))
    with pytest.raises(TypeError, match="would be deleted; records retire"):
        second.flush()
    second.rollback()


def test_the_second_writer_is_told_what_the_first_changed(second: RecordSession) -> None:
    seen = second.get_one(Item, 1).version
    assert journal.for_change(second, Item, 1, seen).name == "HD-01"
    second.get_one(Item, 1).name = "HD-02"
    second.flush()
    second.get_one(Item, 1).note = "stiff"
    second.flush()
    with pytest.raises(ConflictError) as caught:
        journal.for_change(second, Item, 1, seen)
    assert caught.value.message == (
        "This item was changed after you looked (version 1 then, 3 now): 2026-03-20 09:00 UTC, "
        "K.L.: name 'HD-01' -> 'HD-02' | 2026-03-20 09:00 UTC, K.L.: note nothing -> 'stiff'. "
        "Nothing of yours was written. Look at it again, then repeat your change."
    )


@pytest.mark.parametrize("number", [0, -1, 99, 2**31, 10**30])
def test_what_is_not_there_is_told(second: RecordSession, number: int) -> None:
    with pytest.raises(NotFoundError, match=f"No item '{number}'"):
        journal.for_change(second, Item, number)


def test_what_is_pending_is_not_lost_by_looking_again(second: RecordSession) -> None:
    second.get_one(Item, 1).name = "HD-02"
    assert journal.for_change(second, Item, 1).name == "HD-02"


def test_what_is_taken_back_leaves_no_step(engine: Engine, writer: Writer) -> None:
    def fail() -> None:
        with units.begin(engine, writer) as session:
            session.add(Place(name="RR", kind="room"))
            session.flush()
            raise LookupError

    with pytest.raises(LookupError):
        fail()
    with units.read(engine) as session:
        assert session.scalars(select(History)).all() == []


def test_steps_come_in_the_order_of_writing(second: RecordSession) -> None:
    item = second.get_one(Item, 1)
    second.info["writer"] = Writer("A.K.", "terminal", LATER - timedelta(days=9))  # a slow clock
    item.note = "stiff"
    second.flush()
    assert [step.who for step in journal.steps(second, "item", 1)] == ["M.O.", "A.K."]
