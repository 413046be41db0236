"""Very many units at once are counted as one at a time; days are cut in the zone."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.review import columns
from kb.review.methods import exposure, fleet
from kb.review.methods.exposure import Days, Spell, Unit

EPOCH = date(1970, 1, 1)
days = st.integers(0, 60).map(lambda n: date(2026, 1, 1) + timedelta(days=n))


def number(day: date | None) -> int:
    return fleet.FOR_EVER if day is None else (day - EPOCH).days


@st.composite
def units(draw: st.DrawFn) -> Unit:
    turns = sorted(draw(st.lists(days, max_size=4, unique=True)))
    states = [draw(st.sampled_from(["fit", "set aside", "retired"])) for _ in turns]
    spells = tuple(
        Spell(state, since, following)
        for state, since, following in zip(states, turns, [*turns[1:], None], strict=False)
    )
    failures = tuple(draw(st.lists(days, max_size=5, unique=True)))
    return Unit("unit", draw(days), spells, failures)


@settings(max_examples=150, deadline=None)
@given(st.lists(units(), min_size=1, max_size=3), days, st.integers(0, 60), days)
def test_arrays_say_what_the_rules_say_unit_by_unit(
    many: list[Unit], since: date, length: int, began: date
) -> None:
    window = Days(since, since + timedelta(days=length))
    rows = [
        (at, number(one.since), number(one.until), one.state == "retired")
        for at, unit in enumerate(many)
        for one in exposure.out_of_use(unit.spells)
    ]
    table = np.array(rows, dtype=np.int64).reshape(-1, 4)
    gaps = fleet.Gaps(table[:, 0], table[:, 1], table[:, 2], table[:, 3] == 1)
    span = fleet.Span(number(window.since), number(window.until), number(began))
    begun = np.array([number(unit.in_service) for unit in many], dtype=np.int64)
    pairs = [(at, day) for at, unit in enumerate(many) for day in unit.failures]
    whose = np.array([at for at, _ in pairs], dtype=np.int64)
    when = np.array([number(day) for _, day in pairs], dtype=np.int64)
    found = fleet.verdicts(whose, when, begun, gaps, span)
    theirs = exposure.of_units(many, log_began=began, window=window).units

    assert fleet.unit_days(begun, gaps, span).tolist() == [one.unit_days for one in theirs]
    told = {
        (at, day): fleet.REASONS[reason]
        for (at, day), reason in zip(pairs, found.tolist(), strict=True)
    }
    wanted = {(at, day): "" for at, one in enumerate(theirs) for day in one.failures}
    wanted |= {
        (at, missed.day): missed.reason
        for at, one in enumerate(theirs)
        for missed in one.not_counted
    }
    assert told == wanted


def test_a_second_report_the_same_day_counts_once() -> None:
    unit, day = np.array([2, 1, 2, 2]), np.array([5, 5, 5, 7])
    assert [one.tolist() for one in fleet.distinct(unit, day)] == [[1, 2, 2], [5, 5, 7]]
    none = np.empty(0, dtype=np.int64)
    assert len(fleet.distinct(none, none)[0]) == 0


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.datetimes(datetime(2020, 1, 1), datetime(2027, 1, 1)), min_size=1, max_size=5),  # noqa: DTZ001 - Hypothesis wants bounds without a zone
    st.sampled_from(["Europe/London", "America/St_Johns", "Australia/Lord_Howe", "UTC"]),
)
def test_days_are_those_that_a_clock_there_shows(moments: list[datetime], name: str) -> None:
    zone = ZoneInfo(name)
    aware = [one.replace(tzinfo=UTC, microsecond=0) for one in moments]
    seconds = np.array([int(one.timestamp()) for one in aware], dtype=np.int64)
    theirs = [number(one.astimezone(zone).date()) for one in aware]
    assert columns.local_days(seconds, zone).tolist() == theirs


@pytest.mark.parametrize("minute", [-1, 0, 1])
def test_the_turn_of_the_clocks_is_found_to_the_second(minute: int) -> None:
    # In London summer time began on 2026-03-29 at 01:00 UTC.
    turn = datetime(2026, 3, 29, 1, tzinfo=UTC) + timedelta(minutes=minute)
    start = int((turn - timedelta(days=3)).timestamp())
    turns, offsets = columns._offsets(
        start, int((turn + timedelta(days=3)).timestamp()), ZoneInfo("Europe/London")
    )
    assert turns.tolist()[1] == int(datetime(2026, 3, 29, 1, tzinfo=UTC).timestamp())
    assert offsets.tolist() == [0, 3600]
