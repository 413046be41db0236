"""What counts as a failure: by kind, on the cause item, once a day."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.faults.counting import Closed, failures
from kb.records.kinds import FAILURE_KINDS, CauseKind

MONDAY = date(2026, 3, 16)

cases = st.builds(
    Closed,
    number=st.integers(1, 10_000),
    day=st.dates(MONDAY, MONDAY + timedelta(days=4)),
    cause_item=st.none() | st.integers(1, 4),
    cause_kind=st.none() | st.sampled_from([kind.value for kind in CauseKind]),
)
logs = st.lists(cases, max_size=30, unique_by=lambda one: one.number)


@pytest.mark.parametrize(
    ("kind", "counted"),
    [
        (CauseKind.OWN_FAILURE, 1),
        (CauseKind.SETTING_DELIVERED, 1),
        (CauseKind.UNKNOWN, 1),
        (CauseKind.SETTING_HERE, 0),
        (CauseKind.HANDLING, 0),
        (CauseKind.OUTSIDE, 0),
        (CauseKind.NO_FAULT_FOUND, 0),
        (None, 0),
    ],
)
def test_own_failures_delivered_settings_and_the_unknown_count(
    kind: CauseKind | None, counted: int
) -> None:
    fault = Closed(1, MONDAY, 7, kind)
    assert failures([fault]) == [fault] * counted
    # As the database gives it back.
    assert len(failures([Closed(1, MONDAY, 7, kind and kind.value)])) == counted


def test_without_an_item_to_blame_nothing_failed() -> None:
    assert failures([Closed(1, MONDAY, None, CauseKind.UNKNOWN)]) == []


def test_the_second_report_on_an_item_the_same_day_is_no_new_failure() -> None:
    first = Closed(4, MONDAY, 7, CauseKind.OWN_FAILURE)
    again = Closed(5, MONDAY, 7, CauseKind.UNKNOWN)
    next_day = Closed(6, MONDAY + timedelta(days=1), 7, CauseKind.OWN_FAILURE)
    other = Closed(7, MONDAY, 8, CauseKind.OWN_FAILURE)
    assert failures([other, next_day, again, first]) == [first, other, next_day]


def test_what_is_no_failure_hides_none_of_the_same_day() -> None:
    trodden_on = Closed(1, MONDAY, 7, CauseKind.HANDLING)
    worn = Closed(2, MONDAY, 7, CauseKind.OWN_FAILURE)
    assert failures([trodden_on, worn]) == [worn]


@settings(max_examples=100)
@given(logs, st.randoms(use_true_random=False))
def test_counting_knows_no_order_and_counts_nothing_twice(
    log: list[Closed], chance: object
) -> None:
    counted = failures(log)
    shuffled = sorted(log, key=lambda _: chance.random())  # type: ignore[attr-defined]
    assert failures(shuffled) == counted
    assert failures(counted) == counted
    blamed = {
        (one.cause_item, one.day)
        for one in log
        if one.cause_item is not None and one.cause_kind in FAILURE_KINDS
    }
    assert {(one.cause_item, one.day) for one in counted} == blamed
    assert len(counted) == len(blamed)
