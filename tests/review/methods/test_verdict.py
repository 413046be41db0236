"""Verdicts in words: both ways, with several pairs, and what would settle them."""

import pytest

from kb.errors import InvalidError
from kb.review.methods import ratios, verdict
from kb.review.methods.verdict import Group


@pytest.mark.parametrize(
    ("one", "other", "word"),
    [
        (Group(20, 1000, 4), Group(5, 1000, 4), verdict.WORSE),
        (Group(5, 1000, 4), Group(20, 1000, 4), verdict.BETTER),
        (Group(6, 1000, 4), Group(5, 1000, 4), verdict.NO_EVIDENCE),
        (Group(3, 1000, 4), Group(1, 1000, 4), verdict.TOO_EARLY),
        (Group(0, 1000, 4), Group(0, 1000, 4), verdict.TOO_EARLY),
        # Few failures, but far apart: that is evidence.
        (Group(4, 100, 1), Group(0, 5000, 9), verdict.WORSE),
    ],
)
def test_a_verdict_in_words(one: Group, other: Group, word: str) -> None:
    (found,) = verdict.judge([(one, other)])
    assert found.word == word
    assert (found.p <= 0.1) == (word in {verdict.WORSE, verdict.BETTER})


def test_with_several_pairs_each_must_reach_more() -> None:
    pair = (Group(9, 1000, 4), Group(2, 1000, 4))
    assert verdict.judge([pair])[0].word == verdict.WORSE
    many = verdict.judge([pair] * 3)
    assert many[0].word == verdict.NO_EVIDENCE
    assert many[0].p == pytest.approx(3 * verdict.judge([pair])[0].p)


def test_on_the_day_named_the_test_would_decide_and_not_before() -> None:
    one, other = Group(8, 1000, 4), Group(4, 1000, 4)
    (found,) = verdict.judge([(one, other)])
    assert found.settled_in is not None

    def p(days: int) -> float:
        more = 4 * days
        counts = [(each.failures + round(each.failures / 1000 * more)) for each in (one, other)]
        return ratios.rate_ratio(counts[0], 1000 + more, counts[1], 1000 + more).p

    assert p(found.settled_in) <= 0.1 < p(found.settled_in - 15)
    assert found.soonest is not None
    assert found.soonest <= found.settled_in


def test_groups_that_are_out_of_use_settle_nothing() -> None:
    assert verdict.settled_in(Group(8, 1000), Group(4, 1000)) is None
    (found,) = verdict.judge([(Group(5, 1000, 1), Group(5, 1000, 1))])
    assert found.settled_in is None


def test_no_exposure_is_refused() -> None:
    with pytest.raises(InvalidError):
        verdict.judge([(Group(1, 0), Group(1, 5))])
