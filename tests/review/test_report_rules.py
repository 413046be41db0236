"""What the review of models counts, unit by unit: states, unknown days, second reports."""

from datetime import UTC, date, datetime, timedelta

import pytest
from builders import a_cable, a_model, an_item
from fault_builders import a_fault
from sqlmodel import Session

from kb.errors import InvalidError
from kb.faults import closing, log
from kb.gear import items, models
from kb.records.settings import Settings
from kb.review import report
from kb.review.methods.exposure import NO_IN_SERVICE_DAY
from kb.review.report import NO_MODEL, LeftOutRow, ModelReview, ModelRow

# In London, where summer time begins on 2026-03-29.
SETTINGS = Settings(zone="Europe/London", log_began=date(2026, 1, 1))
NOW = datetime(2026, 4, 10, 12, 0, tzinfo=UTC)
CAME = date(2026, 1, 11)


def noon(day: int) -> datetime:
    """Return noon of a day of March 2026."""
    return datetime(2026, 3, day, 12, tzinfo=UTC)


def review(session: Session, **values: object) -> ModelReview:
    return report.review_models(session, SETTINGS, NOW, **values)  # type: ignore[arg-type]


def row(session: Session) -> ModelRow:
    """Return the row of the only model there is."""
    (found,) = review(session).models
    return found


def lead(session: Session, name: str = "HD-01", **over: object) -> str:
    return a_cable(session, name, at=datetime(2026, 1, 11, 9, tzinfo=UTC), in_service=CAME, **over)


def failure(session: Session, name: str, at: datetime, kind: str = "own failure") -> int:
    number = a_fault(session, name, at)
    closing.close_fault(session, number, {"kind": kind}, at)
    return number


def test_a_unit_is_exposed_from_its_day_to_today_inclusive(session: Session) -> None:
    lead(session)
    lead(session, "HD-02")
    assert (row(session).units, row(session).unit_days) == (2, 2 * 90)
    items.change_item(session, "HD-02", {"in_service": "2023-01-01"}, NOW)
    # The log began later than that.
    assert row(session).unit_days == 90 + 100


def test_a_unit_of_unknown_age_is_listed_and_not_guessed(session: Session) -> None:
    lead(session)
    code = a_cable(session, "HD-02")
    failure(session, "HD-02", noon(3))
    found = review(session)
    assert (found.models[0].units, found.models[0].failures) == (1, 0)
    assert found.left_out == (LeftOutRow("HD-02", code, "Ossprell Ribbonet 3", NO_IN_SERVICE_DAY),)


def test_a_unit_of_no_model_is_listed(session: Session) -> None:
    code = an_item(session, "thing", model=None, in_service=CAME)
    found = review(session)
    assert found.models == ()
    assert found.left_out == (LeftOutRow("thing", code, "", NO_MODEL),)


def test_time_set_aside_does_not_count_and_what_comes_back_does(session: Session) -> None:
    lead(session)
    items.set_state(session, "HD-01", "set aside", noon(1), "loose")
    items.set_state(session, "HD-01", "doubtful", noon(11))
    assert row(session).unit_days == 90 - 10


@pytest.mark.parametrize("state", ["set aside", "retired"])
def test_a_failure_on_the_day_it_left_use_counts_and_a_later_one_is_listed(
    session: Session, state: str
) -> None:
    code = lead(session)
    failure(session, "HD-01", noon(9))
    items.set_state(session, "HD-01", state, noon(9) - timedelta(hours=2), "loose")
    failure(session, code, noon(10))
    found = review(session)
    # From 11 January up to 9 March: 21 + 28 + 8 days.
    assert (found.models[0].unit_days, found.models[0].failures) == (57, 1)
    assert [(one.item, one.day, one.reason) for one in found.not_counted] == [
        ("HD-01", date(2026, 3, 10), f"while it was {state}")
    ]


def test_a_second_report_on_an_item_the_same_day_is_no_new_failure(session: Session) -> None:
    lead(session)
    first = failure(session, "HD-01", noon(5))
    failure(session, "HD-01", noon(5) + timedelta(hours=3), "unknown")
    assert row(session).failures == 1
    failure(session, "HD-01", noon(6))
    assert row(session).failures == 2
    # Two reports said to be one count once as well, and on the first one's day.
    log.merge_fault(session, failure(session, "HD-01", noon(7)), first)
    assert row(session).failures == 2


def test_days_are_cut_in_the_house_s_zone(session: Session) -> None:
    lead(session)
    # 23:30 of the 30th in UTC is 00:30 of the 31st in London's summer time.
    failure(session, "HD-01", datetime(2026, 3, 30, 23, 30, tzinfo=UTC))
    failure(session, "HD-01", datetime(2026, 3, 31, 12, tzinfo=UTC))
    assert row(session).failures == 1
    day = {"since": date(2026, 3, 31), "until": date(2026, 4, 1)}
    assert review(session, **day).models[0].failures == 1


def test_only_what_is_said_of_the_item_to_blame_counts(session: Session) -> None:
    lead(session)
    an_item(session, "CC-01", in_service=CAME)
    number = a_fault(session, "CC-01", noon(5))
    closing.close_fault(session, number, {"kind": "own failure", "item": "HD-01"}, noon(5))
    a_fault(session, "HD-01", noon(6))  # nobody said yet what it was
    failure(session, "HD-01", noon(7), "handling")
    counted = {one.model: one.failures for one in review(session).models}
    assert counted == {"Ossprell Ribbonet 3": 1, "Grundel Parlour 2": 0}
    closing.reopen_fault(session, number, noon(8))
    assert sum(one.failures for one in review(session).models) == 0


def test_a_name_given_again_is_told_apart_by_its_code(session: Session) -> None:
    old = a_cable(session)
    items.set_state(session, "HD-01", "retired", noon(1), "loose")
    new = a_cable(session)
    assert {one.code for one in review(session).left_out} == {old, new}


def test_a_merged_item_and_a_merged_model_count_once(session: Session) -> None:
    lead(session)
    lead(session, "HD-02", model=a_model(session, name="Ribonet 3"))
    failure(session, "HD-01", noon(5))
    failure(session, "HD-02", noon(6))
    models.merge_model(session, "Ribonet 3", "Ribbonet 3", NOW)
    assert (row(session).units, row(session).failures) == (2, 2)
    items.merge_item(session, "HD-02", "HD-01", NOW)
    assert (row(session).units, row(session).failures, row(session).unit_days) == (1, 2, 90)


def test_without_the_day_the_log_began_there_is_no_review(session: Session) -> None:
    with pytest.raises(InvalidError, match=r"log_began: .* isn't set"):
        report.review_models(session, Settings(), NOW)
