"""Limits of a fix's success agree with published ones and with SciPy's."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import proportions


@pytest.mark.parametrize("name", ["wilson", "jeffreys", "exact"])
def test_published_limits_of_18_of_20(name: str) -> None:
    found = getattr(proportions, name)(18, 20, confidence=0.95)
    assert list(found) == printed("FIX-01", name)


def test_other_published_limits() -> None:
    assert list(proportions.wilson(19, 38, confidence=0.95)) == printed("FIX-04", "wilson")
    assert list(proportions.exact(4, 20, confidence=0.9)) == printed("FIX-05", "exact")


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 30), st.integers(0, 30), st.floats(0.5, 0.99))
def test_exact_and_wilson_are_scipy_s(worked: int, failed: int, confidence: float) -> None:
    tries = worked + failed
    if not tries:
        return
    theirs = stats.binomtest(worked, tries)
    for name, found in (
        ("exact", proportions.exact(worked, tries, confidence=confidence)),
        ("wilson", proportions.wilson(worked, tries, confidence=confidence)),
    ):
        assert found == pytest.approx(theirs.proportion_ci(confidence, name), abs=1e-9)


def test_nothing_and_all_have_an_end_for_a_limit() -> None:
    assert proportions.jeffreys(0, 5)[0] == 0
    assert proportions.jeffreys(5, 5)[1] == 1


def test_one_of_one_doesn_t_beat_eighteen_of_twenty() -> None:
    found = [proportions.success(*one) for one in ((1, 1), (18, 20), (0, 0), (2, 20))]
    assert proportions.ranked(found)[0] == 1


def test_not_tried_is_no_half_and_pending_is_no_success() -> None:
    none = proportions.success(0, 0, pending=3)
    assert (none.share, none.low, none.high, none.pending) == (None, 0, 1, 3)
    assert proportions.success(2, 4, pending=9).share == 0.5


@pytest.mark.parametrize(("worked", "tries"), [(3, 2), (0, 0), (-1, 4)])
def test_shares_that_can_t_be_are_refused(worked: int, tries: int) -> None:
    with pytest.raises(InvalidError):
        proportions.wilson(worked, tries)
