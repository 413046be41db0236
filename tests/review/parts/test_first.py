"""What to look at first: ranked by rate with limits, or by a sum with its running share."""

import pytest

from kb.review.parts import first
from kb.review.parts.first import Sums

MODELS = (
    Sums("Many", units=20, unit_days=7305, failures=10, minutes=30, cost=36_000),
    Sums("Few", units=1, unit_days=365, failures=4, minutes=90, cost=108_000),
    Sums("Never", units=2, unit_days=730, failures=0, minutes=0, cost=0),
)


def test_by_rate_each_stands_with_its_limits_and_no_share() -> None:
    part = first.pareto_of(MODELS, "rate", 0.9)

    assert part.chart
    assert part.table
    assert [one.name for one in part.chart.intervals] == ["Few", "Many"]
    assert all(one.low < one.value < one.high for one in part.chart.intervals)
    assert "Of all" not in {column.name for column in part.table.columns}


@pytest.mark.parametrize(("way", "sums"), [("minutes", (90, 30)), ("cost", (108_000, 36_000))])
def test_by_a_sum_bars_fall_and_the_shares_run_up_to_all(way: str, sums: tuple[int, int]) -> None:
    part = first.pareto_of(MODELS, way, 0.9)

    assert part.chart
    assert part.table
    assert part.chart.bars == (("Few", sums[0]), ("Many", sums[1]))
    assert [row["Running"] for row in part.table.named()] == [0.75, 1.0]
