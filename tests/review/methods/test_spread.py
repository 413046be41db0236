"""Failures piled up on one unit are told from chance."""

import pytest
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import spread


def test_the_chance_is_near_the_table_s_where_there_are_many() -> None:
    counts = [60, 40, 55, 45]
    found = spread.over_units(counts, [1, 1, 1, 1])
    theirs = stats.chisquare(counts)
    assert found.chi_square == pytest.approx(theirs.statistic)
    assert found.p == pytest.approx(theirs.pvalue, abs=0.02)


def test_one_bad_unit_stands_out_and_an_even_spread_doesn_t() -> None:
    assert spread.over_units([9, 0, 0, 1], [500] * 4).p < 0.01
    assert spread.over_units([3, 2, 3, 2], [500] * 4).p > 0.8
    # Long exposure explains many failures.
    assert spread.over_units([9, 1, 1], [900, 100, 100]).p > 0.5


@pytest.mark.parametrize(
    ("failures", "exposures"), [([4], [1]), ([0, 0], [1, 1]), ([1, 2], [1, 0]), ([1], [1, 2])]
)
def test_too_little_to_tell_is_refused(failures: list[int], exposures: list[float]) -> None:
    with pytest.raises(InvalidError):
        spread.over_units(failures, exposures)
