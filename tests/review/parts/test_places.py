"""Units' days and failures are shared out by where the units lay."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from review_facts import BEGAN, facts_of
from scipy import stats

from kb.review.parts import places

RACK, DESK = 1, 2


def at(days: int, hour: int) -> datetime:
    day = BEGAN + timedelta(days=days)
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def test_days_and_failures_go_to_the_place_where_the_unit_lay() -> None:
    # Failures on days 0, 10 and 20 at 18:00; moved on day 20 an hour after the last of them.
    facts = replace(
        facts_of("Granary", days=100, failures=3),
        moves={1: ((at(-5, 9), RACK), (at(20, 19), DESK))},
        places={RACK: "rack", DESK: "desk"},
    )
    part = places.by_place(facts)
    assert part.table is not None
    rows = {str(row["Place"]): row for row in part.table.named()}
    assert [rows["rack"][name] for name in ("Unit-days", "Failures")] == [20, 3]
    assert [rows["desk"][name] for name in ("Unit-days", "Failures")] == [80, 0]
    assert rows["rack"]["High"] == pytest.approx(stats.chi2.ppf(0.95, 8) / 2 / (20 / 365.25))
    assert list(rows) == ["rack", "desk"]


def test_a_unit_that_nobody_put_anywhere_is_told_as_such() -> None:
    part = places.by_place(facts_of("Granary", days=100, failures=1))
    assert part.table is not None
    assert [row["Place"] for row in part.table.named()] == ["place not known"]
    assert part.sentences == ("They all lay at one place: it tells nothing of it.",)
