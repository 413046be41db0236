"""The ranking is the published one, and its order is stable."""

import pytest
from published import CASES, printed

from kb.errors import InvalidError
from kb.review.methods import pareto


def test_the_published_ranking() -> None:
    expected = CASES["PAR-01"]["expected"]
    found = pareto.ranked(CASES["PAR-01"]["inputs"]["counts"])
    assert [one.name for one in found] == expected["order"]
    assert sum(one.value for one in found) == expected["total"]
    assert [100 * one.running for one in found] == printed("PAR-01", "cumulative_percent")


def test_equals_stand_by_name_and_the_rest_last() -> None:
    found = pareto.ranked({"b": 2, "other": 9, "a": 2, "c": 3})
    assert [one.name for one in found] == ["c", "a", "b", "other"]


def test_nothing_has_no_shares() -> None:
    assert pareto.ranked({}) == ()
    assert pareto.ranked({"a": 0})[0].share == 0
    with pytest.raises(InvalidError):
        pareto.ranked({"a": -1})
