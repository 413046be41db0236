"""How often a fix worked: limits as published, pending tries apart, a fair ranking."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import proportions


def test_eighteen_of_twenty_by_three_methods() -> None:
    case = CASES["FIX-01"]["inputs"]
    for name in ("wilson", "jeffreys", "exact"):
        found = getattr(proportions, name)(case["successes"], case["trials"], confidence=0.95)
        assert list(found) == printed("FIX-01", name)


def test_wilson_at_one_half() -> None:
    case = CASES["FIX-04"]["inputs"]
    found = proportions.wilson(case["successes"], case["trials"], confidence=0.95)
    assert list(found) == printed("FIX-04", "wilson")


def test_nist_exact_interval() -> None:
    case = CASES["FIX-05"]["inputs"]
    found = proportions.exact(case["successes"], case["trials"], confidence=case["confidence"])
    assert list(found) == printed("FIX-05", "exact")


@settings(max_examples=50, deadline=None)
@given(st.integers(1, 200), st.data(), st.floats(0.5, 0.999))
def test_exact_and_wilson_limits_are_scipy_s(n: int, data: st.DataObject, level: float) -> None:
    s = data.draw(st.integers(0, n))
    theirs = stats.binomtest(s, n)
    for name in ("exact", "wilson"):
        limits = theirs.proportion_ci(level, name)
        found = getattr(proportions, name)(s, n, confidence=level)
        assert found == pytest.approx((limits.low, limits.high), abs=1e-9)


def test_pending_tries_are_neither() -> None:
    found = proportions.success(2, 3, pending=4)
    assert (found.tries, found.pending, found.share) == (3, 4, 2 / 3)
    assert (found.low, found.high) == proportions.jeffreys(2, 3)


def test_what_was_never_tried_has_no_share() -> None:
    found = proportions.success(0, 0, pending=1)
    assert (found.share, found.low, found.high) == (None, 0, 1)


def test_none_and_all_reach_to_the_end() -> None:
    assert proportions.jeffreys(0, 5)[0] == 0
    assert proportions.jeffreys(5, 5)[1] == 1


def test_one_of_one_doesn_t_beat_eighteen_of_twenty() -> None:
    tries = [proportions.success(1, 1), proportions.success(18, 20), proportions.success(0, 0)]
    assert proportions.ranked(tries) == (1, 0, 2)


@pytest.mark.parametrize(("s", "n"), [(3, 2), (-1, 2), (0, 0)])
def test_no_share_is_refused(s: int, n: int) -> None:
    with pytest.raises(InvalidError):
        proportions.exact(s, n)
    if n:
        with pytest.raises(InvalidError):
            proportions.success(s, n)
