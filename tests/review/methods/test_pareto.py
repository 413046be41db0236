"""Categories are ranked as published, ties by name, the rest last."""

import pytest
from published import CASES, printed

from kb.errors import InvalidError
from kb.review.methods import pareto


def test_published_order_and_running_share() -> None:
    found = pareto.ranked(CASES["PAR-01"]["inputs"]["counts"])
    assert [one.name for one in found] == CASES["PAR-01"]["expected"]["order"]
    assert sum(one.value for one in found) == printed("PAR-01", "total")
    assert [100 * one.running for one in found] == printed("PAR-01", "cumulative_percent")


def test_ties_by_name_and_the_rest_last() -> None:
    found = pareto.ranked({"b": 3, "other": 90, "a": 3})
    assert [one.name for one in found] == ["a", "b", "other"]
    assert [one.share for one in pareto.ranked({"a": 0})] == [0]


def test_values_below_zero_are_refused() -> None:
    with pytest.raises(InvalidError):
        pareto.ranked({"a": -1})
