"""Units on the clock of their age, time set aside left out."""

from datetime import date

import pytest

from kb.review import ages
from kb.review.fleet import Thing
from kb.review.methods.exposure import Days, UnitExposure

FIRST = date(2026, 1, 1)


def thing(in_service: date | None, *spans: tuple[int, int], failed: tuple[int, ...] = ()) -> Thing:
    days = tuple(Days(on(a), on(b)) for a, b in spans)
    found = UnitExposure("X", days, tuple(on(day) for day in failed), ())
    return Thing(1, "X", "X", "M", "recorder", "", "", in_service, None, None, True, found)  # noqa: FBT003


def on(day: int) -> date:
    return date.fromordinal(FIRST.toordinal() + day)


def test_a_unit_that_was_old_when_the_log_began_enters_late() -> None:
    found = ages.of_things([thing(on(-100), (0, 50), failed=(0, 20))])
    assert (found.starts, found.ends) == ((100,), (150,))
    assert found.events == ((100.5, 120.5),)


def test_time_set_aside_stands_still() -> None:
    found = ages.of_things([thing(FIRST, (0, 10), (30, 40), failed=(9, 35, 40))])
    assert found.ends == (20,)
    assert found.events == ((9.5, 15.5, 20),)  # the day it was retired counts at its end


def test_what_was_never_exposed_is_left_out() -> None:
    assert ages.of_things([thing(None, (0, 10)), thing(FIRST)]).events == ()


def test_lives_are_over_with_the_first_failure() -> None:
    found = ages.of_things([thing(FIRST, (0, 10), failed=(3, 5)), thing(on(-5), (0, 10))]).lives()
    assert (list(found.failures), list(found.censored)) == ([3.5], [15])
    assert (found.failure_starts, found.censored_starts) == ([0], [5])


@pytest.mark.parametrize(
    ("days", "words"), [((70, 80, 90, 95, 98), "worsening"), ((1, 4, 9, 15, 20), "improving")]
)
def test_a_trend_is_told_by_both_tests(days: tuple[int, ...], words: str) -> None:
    found = ages.trend_of(ages.of_things([thing(FIRST, (0, 100), failed=days)]), 0.1)
    assert found.words == words
    assert found.events == 5


def test_no_trend() -> None:
    even = ages.of_things([thing(FIRST, (0, 100), failed=(10, 30, 50, 70, 90))])
    assert ages.trend_of(even, 0.1).words == "no trend told"
