"""A lost minute costs what the room says where the fault was, in sums and in a model's review."""

from datetime import date, datetime, timedelta

from builders import BEGAN, a_model, a_place, an_item
from fault_builders import a_fault
from sqlmodel import Session

from kb.faults import closing
from kb.gear import items
from kb.records.settings import Settings
from kb.review import gather, reviews, sums

SETTINGS = Settings(zone="UTC", log_began=date(2025, 1, 1), minute_cost=1000)
NOW = BEGAN + timedelta(days=300)


def failed(session: Session, at: datetime, **over: object) -> None:
    number = a_fault(session, "RC-01", at, **over)
    closing.close_fault(session, number, {"kind": "own failure", "minutes_lost": 10}, at)


def test_the_room_of_the_fault_sets_what_its_minutes_cost(session: Session) -> None:
    a_place(session, "Studio", minute_cost="30")
    a_place(session, "rack", within="Studio", kind="rack")
    a_place(session, "Store")
    model = a_model(session, maker="Morvaxa", name="Granary 4", equipment_class="recorder")
    an_item(session, "RC-01", model=model, place="Studio/rack", in_service="2025-05-19")
    failed(session, BEGAN + timedelta(days=10))  # where it lay: 10 minutes at 30.00
    items.move_item(session, "RC-01", "Store", BEGAN + timedelta(days=20))
    failed(session, BEGAN + timedelta(days=30))  # no rate of its own: 10.00
    failed(session, BEGAN + timedelta(days=40), place="Studio/rack")  # named: 30.00

    shared = gather.frame(session, SETTINGS, NOW)
    (summed,) = sums.by_model(session, SETTINGS, shared)
    costs = reviews.of_model(session, SETTINGS, shared, "Granary 4").part("costs")

    assert summed.cost == 10 * (3000 + 1000 + 3000)
    assert costs is not None
    assert "A failure costs 233.33 " in costs.sentences[0]
