"""Whether failures pile up on few units, against chi-square and what piles up."""

import pytest
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import spread


def test_many_failures_agree_with_chi_square() -> None:
    seen = [48, 61, 52, 39]
    found = spread.over_units(seen, [1.0] * 4)
    statistic, p = stats.chisquare(seen)
    assert found.chi_square == pytest.approx(statistic)
    assert found.p == pytest.approx(p, abs=0.02)


def test_three_failures_on_one_of_three_units_have_the_exact_chance() -> None:
    # All three on one and the same unit: 3 / 27.
    assert spread.over_units([3, 0, 0], [5.0] * 3).p == pytest.approx(1 / 9, abs=0.01)


def test_a_unit_with_more_exposure_may_have_more() -> None:
    assert spread.over_units([9, 1], [90.0, 10]).p > 0.5 > spread.over_units([1, 9], [90.0, 10]).p


@pytest.mark.parametrize(("seen", "time"), [([3], [1.0]), ([0, 0], [1.0, 1]), ([1, 1], [1.0, 0])])
def test_what_can_t_pile_up_is_refused(seen: list[int], time: list[float]) -> None:
    with pytest.raises(InvalidError):
        spread.over_units(seen, time)
