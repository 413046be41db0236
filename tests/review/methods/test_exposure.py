"""Exposure is cut day by day, and no failure is dropped without a word."""

import json
from collections import Counter
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import InvalidError
from kb.review.methods import exposure
from kb.review.methods.exposure import Days, Spell, Unit

REFERENCE: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in json.loads(
        (Path(__file__).parents[2] / "reference" / "review.json").read_text(encoding="utf-8")
    )
}
START = date(2025, 5, 1)
YEAR = Days(START, date(2026, 5, 1))
few = settings(max_examples=60, deadline=None)


def day(number: int) -> date:
    """Return the day that many days after the start of the log."""
    return START + timedelta(number)


def out(since: int, until: int | None = None) -> Spell:
    """Return a spell set aside, in days after the start of the log."""
    return Spell("set aside", day(since), None if until is None else day(until))


def retired(since: int) -> Spell:
    """Return a spell retired for good."""
    return Spell("retired", day(since))


def seen(unit: Unit, window: Days = YEAR) -> exposure.UnitExposure:
    """Return what one unit adds."""
    (found,) = exposure.of_units([unit], log_began=START, window=window).units
    return found


def test_valve_seat_engines_give_the_published_counts_of_units_and_failures() -> None:
    case = REFERENCE["EXP-01"]
    engines = case["inputs"]["engines"]
    units = [
        Unit(
            name,
            START,
            (retired(engine["end_day"]),),
            tuple(day(age) for age in engine["replacement_days"]),
        )
        for name, engine in engines.items()
    ]
    window = Days(START, day(max(engine["end_day"] for engine in engines.values()) + 1))
    fleet = exposure.of_units(units, log_began=START, window=window)
    by_count = Counter(len(unit.failures) for unit in fleet.units)
    assert len(fleet.units) == case["expected"]["units"]
    assert fleet.failures == case["expected"]["failures"]
    assert [by_count[k] for k in range(5)] == case["expected"]["units_with_k_failures"]
    assert fleet.unit_days == 25_363  # our own sum of the published ages
    assert fleet.left_out == ()


@pytest.mark.parametrize(
    ("in_service", "spells", "intervals"),
    [
        (date(2022, 3, 14), (), [(0, 365)]),
        (day(100), (), [(100, 365)]),
        (day(400), (), []),
        (date(2022, 3, 14), (Spell("doubtful", day(10), day(40)),), [(0, 365)]),
        (date(2022, 3, 14), (retired(112),), [(0, 112)]),
        (date(2022, 3, 14), (out(50, 80),), [(0, 50), (80, 365)]),
        (date(2022, 3, 14), (out(50, 80), Spell("fit", day(80))), [(0, 50), (80, 365)]),
        (date(2022, 3, 14), (out(50, 80), out(200)), [(0, 50), (80, 200)]),
        (date(2022, 3, 14), (out(200), out(50, 80)), [(0, 50), (80, 200)]),
        (date(2022, 3, 14), (out(50, 80), retired(80)), [(0, 50)]),
        (date(2022, 3, 14), (out(50, 80), out(60, 70)), [(0, 50), (80, 365)]),
        (date(2022, 3, 14), (out(50, 80), out(60, 90)), [(0, 50), (90, 365)]),
        (date(2022, 3, 14), (out(50, 80), retired(60)), [(0, 50)]),
        (date(2022, 3, 14), (out(50, 50),), [(0, 365)]),  # set aside and back the same day
        (date(2022, 3, 14), (out(-30, 20),), [(20, 365)]),
        (date(2022, 3, 14), (out(-30, 0),), [(0, 365)]),
        (date(2022, 3, 14), (out(-30),), []),
        (date(2022, 3, 14), (out(350, 500),), [(0, 350)]),
        (date(2022, 3, 14), (out(365),), [(0, 365)]),
        (day(100), (retired(100),), []),
    ],
)
def test_exposure_ends_when_out_of_use_and_begins_again_on_coming_back(
    in_service: date, spells: tuple[Spell, ...], intervals: list[tuple[int, int]]
) -> None:
    found = seen(Unit("RC-02", in_service, spells))
    assert found.intervals == tuple(Days(day(since), day(until)) for since, until in intervals)
    assert found.unit_days == sum(until - since for since, until in intervals)


@pytest.mark.parametrize(
    ("failure", "spells", "reason"),
    [
        (day(0), (), None),
        (day(112), (retired(112),), None),
        (day(113), (retired(112),), "while it was retired"),
        (day(50), (out(50, 80),), None),
        (day(51), (out(50, 80),), "while it was set aside"),
        (day(79), (out(50, 80),), "while it was set aside"),
        (day(80), (out(50, 80),), None),
        (day(80), (out(50, 80), retired(80)), "while it was set aside"),
        (day(200), (out(50, 80), retired(200)), None),
        (day(364), (), None),
        (day(365), (), exposure.AFTER_WINDOW),
        (day(-1), (), exposure.BEFORE_WINDOW),
    ],
)
def test_a_failure_counts_up_to_the_day_exposure_ends(
    failure: date, spells: tuple[Spell, ...], reason: str | None
) -> None:
    found = seen(Unit("RC-02", date(2022, 3, 14), spells, (failure,)))
    if reason is None:
        assert found.failures == (failure,)
        assert found.not_counted == ()
    else:
        assert found.failures == ()
        assert found.not_counted == (exposure.NotCounted(failure, reason),)


def test_a_unit_that_failed_on_the_day_it_came_and_went_has_a_failure_and_no_exposure() -> None:
    found = seen(Unit("HD-29", day(100), (retired(100),), (day(100),)))
    assert (found.unit_days, found.failures) == (0, (day(100),))


def test_failures_before_the_log_or_the_unit_are_listed_with_the_reason() -> None:
    unit = Unit("DR-09", day(-40), failures=(day(-50), day(-20), day(5)))
    window = Days(day(-100), day(100))
    (found,) = exposure.of_units([unit], log_began=START, window=window).units
    assert found.intervals == (Days(day(0), day(100)),)
    assert found.failures == (day(5),)
    assert [(one.day, one.reason) for one in found.not_counted] == [
        (day(-50), exposure.BEFORE_SERVICE),
        (day(-20), exposure.BEFORE_LOG),
    ]


def test_a_unit_without_an_in_service_day_is_listed_and_not_guessed() -> None:
    unit = Unit("XL-07", None, failures=(day(9), day(3)))
    fleet = exposure.of_units([unit, Unit("XL-01", START)], log_began=START, window=YEAR)
    assert [found.name for found in fleet.units] == ["XL-01"]
    assert fleet.left_out == (
        exposure.LeftOut("XL-07", exposure.NO_IN_SERVICE_DAY, (day(3), day(9))),
    )
    assert (fleet.unit_days, fleet.failures) == (365, 0)


def test_two_failures_of_one_day_count_twice() -> None:
    # EXP-01 has such an engine: two seats replaced on day 653.
    assert seen(Unit("328", START, (), (day(3), day(3)))).failures == (day(3), day(3))


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (date(2026, 3, 28), date(2026, 3, 30)),  # the clocks of London go forward on the 29th
        (date(2025, 10, 25), date(2025, 10, 27)),  # and back on the 26th
    ],
)
def test_a_day_on_which_the_clocks_change_is_one_day(first: date, last: date) -> None:
    assert seen(Unit("CC-01", START), Days(first, last)).unit_days == 2


@pytest.mark.parametrize(
    "make",
    [
        lambda: Days(day(2), day(1)),
        lambda: Spell("fit", day(2), day(1)),
        lambda: Spell("lost", day(1)),
        lambda: Days(datetime(2025, 5, 1, tzinfo=UTC), day(1)),
        lambda: Spell("fit", datetime(2025, 5, 1, tzinfo=UTC)),
        lambda: Unit("RC-01", datetime(2025, 5, 1, tzinfo=UTC)),
        lambda: Unit("RC-01", day(0), (), (datetime(2025, 5, 1, tzinfo=UTC),)),
    ],
)
def test_days_that_make_no_sense_are_refused(make: Callable[[], object]) -> None:
    with pytest.raises(InvalidError):
        make()


numbers = st.integers(-60, 460)
spans = st.tuples(numbers, st.integers(0, 200) | st.none(), st.sampled_from(["set aside", "fit"]))
units = st.builds(
    lambda in_service, some, failures: Unit(
        "unit",
        day(in_service),
        tuple(
            Spell(state, day(since), None if length is None else day(since + length))
            for since, length, state in some
        ),
        tuple(day(number) for number in failures),
    ),
    numbers,
    st.lists(spans, max_size=4),
    st.lists(numbers, max_size=6),
)


@few
@given(unit=units, cut=st.integers(0, 365))
def test_the_two_halves_of_a_window_add_up_to_the_whole(unit: Unit, cut: int) -> None:
    halves = [seen(unit, Days(START, day(cut))), seen(unit, Days(day(cut), day(365)))]
    whole = seen(unit)
    assert sum(half.unit_days for half in halves) == whole.unit_days
    assert halves[0].failures + halves[1].failures == whole.failures


@few
@given(unit=units)
def test_every_failure_is_counted_or_listed_once(unit: Unit) -> None:
    found = seen(unit)
    listed = [*found.failures, *(one.day for one in found.not_counted)]
    assert sorted(listed) == sorted(unit.failures)


@few
@given(unit=units)
def test_exposed_days_are_those_in_use_counted_one_by_one(unit: Unit) -> None:
    def in_use(today: date) -> bool:
        return (
            unit.in_service is not None
            and today >= unit.in_service
            and not any(
                spell.state == "set aside"
                and spell.since <= today
                and (spell.until is None or today < spell.until)
                for spell in unit.spells
            )
        )

    assert seen(unit).unit_days == sum(in_use(day(number)) for number in range(365))


@few
@given(unit=units, later=st.integers(0, 60))
def test_a_longer_window_never_loses_exposure(unit: Unit, later: int) -> None:
    assert seen(unit, Days(START, day(365 + later))).unit_days >= seen(unit).unit_days
