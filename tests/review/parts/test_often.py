"""Failures per show held, whenever the show falls inside a unit's use."""

from datetime import timedelta

import pytest
from review_facts import BEGAN, facts_of
from scipy import stats

from kb.review.parts import often


def test_shows_count_while_the_unit_was_in_use_and_limits_are_exact() -> None:
    days = tuple(BEGAN + timedelta(days=n) for n in (0, 5, 5, 59, 60, 200))
    facts = facts_of("Granary", days=60, failures=3, shows=days)
    part = often.by_shows(facts)

    # The fifth show was on the day that the unit's use ended.
    assert often.held_shows(facts, facts.units[0]) == 4
    assert part.table is not None
    (row,) = part.table.named()
    assert (row["Unit"], row["Unit-shows"], row["Failures"]) == ("U-1", 4, 3)
    assert row["Per 100 shows"] == pytest.approx(75)
    # Garwood's limits of a Poisson count.
    assert row["Low"] == pytest.approx(stats.chi2.ppf(0.05, 6) / 2 / 0.04)
    assert row["High"] == pytest.approx(stats.chi2.ppf(0.95, 8) / 2 / 0.04)


def test_without_a_show_there_is_a_sentence_and_no_number() -> None:
    part = often.by_shows(facts_of("Granary", days=60, failures=3))
    assert part.table is None
    assert part.sentences == ("No show was held while they were in use.",)
