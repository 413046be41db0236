"""How often by use: failures per hundred shows held while a unit was in use."""

from datetime import date, timedelta

import pytest
from review_facts import BEGAN, facts_of
from scipy import stats

from kb.review.parts import often

IN_USE, LATER = date(2020, 3, 1), date(2021, 3, 1)


def by_use(failures: int, shows: tuple[date, ...]) -> str:
    facts = facts_of("Granary 4", days=366, failures=failures, shows=shows)
    return " ".join(one for one in often.how_often(facts).sentences if one.startswith("By use"))


def test_only_shows_on_days_in_use_count_and_the_limits_are_exact() -> None:
    shows = tuple(BEGAN + timedelta(days=7 * n) for n in range(40))

    told = by_use(4, (*shows, LATER))

    # Garwood's limits by SciPy's chi-square: half a quantile over the exposure.
    low, high = stats.chi2.ppf(0.05, 8) / 2 / 0.4, stats.chi2.ppf(0.95, 10) / 2 / 0.4
    assert "4 failures over 40 unit-shows" in told
    assert f"10.00 per 100 ({low:.2f} to {high:.2f})" in told


def test_without_a_failure_there_is_a_bound_and_without_a_show_nothing() -> None:
    assert by_use(0, (IN_USE,)).endswith(f"below {stats.chi2.ppf(0.95, 2) / 2 * 100:.2f} per 100.")
    assert by_use(3, (LATER,)) == ""


@pytest.mark.parametrize("day", [BEGAN - timedelta(days=1), BEGAN + timedelta(days=366)])
def test_a_unit_is_in_use_from_its_first_day_up_to_its_last(day: date) -> None:
    (unit,) = facts_of("Granary 4", days=366, failures=0).units

    assert not unit.is_exposed(day)
    assert unit.is_exposed(BEGAN)
