"""The mean cumulative function agrees with published tables, and with its formula by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, engines, printed

from kb.errors import InvalidError
from kb.review.methods import cumulative

Units = list[tuple[list[float], float, float]]


def by_hand(units: Units) -> list[float]:
    """Return the robust variance at each age, straight from its formula."""
    ages = sorted({age for events, _, _ in units for age in events})
    risk = {age: sum(start < age <= end for _, start, end in units) for age in ages}
    total = {age: sum(events.count(age) for events, _, _ in units) for age in ages}
    found = []
    for until in ages:
        parts = [
            sum(
                (events.count(age) - total[age] / risk[age]) / risk[age]
                for age in ages
                if age <= until and start < age <= end
            )
            for events, start, end in units
        ]
        found.append(sum(part**2 for part in parts))
    return found


@st.composite
def watched(draw: st.DrawFn) -> Units:
    units: Units = []
    for _ in range(draw(st.integers(1, 6))):
        start = draw(st.integers(0, 5))
        end = start + draw(st.integers(1, 10))
        ages = draw(st.lists(st.integers(start + 1, end), max_size=4))
        units.append(([float(age) for age in ages], float(start), float(end)))
    return units


def test_five_units_with_the_simple_variance() -> None:
    case, expected = CASES["MCF-01"]["inputs"], CASES["MCF-01"]["expected"]
    found = cumulative.curve(case["units_event_times"], case["units_end"])
    # The source steps once for each event; at a tie its last step is ours.
    at = dict(zip(expected["t"], expected["mcf"], strict=True))
    assert found.ages == tuple(at)
    assert found.mean == pytest.approx(tuple(at.values()), rel=0, abs=6e-6)
    simple = found.with_simple_variance()
    assert simple.variance_simple[-1] == printed("MCF-01", "variance_last")
    assert simple.low[-1] == printed("MCF-01", "lower_last")
    assert simple.high[-1] == printed("MCF-01", "upper_last")
    assert simple.low[0] == printed("MCF-01", "lower_first")
    assert simple.high[0] == printed("MCF-01", "upper_first")
    # The robust variance that the note of the check names is another figure.
    assert found.variance[-1] == pytest.approx(0.1452, abs=5e-5)


def test_valve_seats_with_nelson_s_unbiased_error() -> None:
    found = cumulative.curve(*engines())
    units = found.units
    assert list(found.ages[:6]) == CASES["MCF-03"]["expected"]["days"]
    assert list(found.mean[:6]) == printed("MCF-03", "mcf")
    errors = [(one * units / (units - 1)) ** 0.5 for one in found.variance[:6]]
    assert errors == printed("MCF-03", "se_nelson")
    assert (found.at_risk[-1], found.events[-1]) == (9, 2)
    assert found.mean[-1] == pytest.approx(1.5427, abs=5e-5)  # the note of the check


@settings(max_examples=60, deadline=None)
@given(watched())
def test_the_robust_variance_is_its_formula(units: Units) -> None:
    events, starts, ends = ([unit[n] for unit in units] for n in range(3))
    found = cumulative.curve(events, ends, starts=starts)  # type: ignore[arg-type]
    assert found.variance == pytest.approx(tuple(by_hand(units)), abs=1e-9)


def test_two_halves_of_the_valve_seats_are_alike_and_the_order_only_turns_the_sign() -> None:
    events, ends = engines()
    there = cumulative.compare(events[::2], ends[::2], events[1::2], ends[1::2])
    back = cumulative.compare(events[1::2], ends[1::2], events[::2], ends[::2])
    assert there.p > 0.2
    assert (back.score, back.p) == pytest.approx((-there.score, there.p))


def test_a_group_that_fails_three_times_as_often_is_told() -> None:
    few = [[float(n)] for n in range(1, 11)]
    many = [[n + 0.1, n + 0.4, n + 0.7] for n in range(1, 11)]
    found = cumulative.compare(many, [12.0] * 10, few, [12.0] * 10)
    assert found.score > 0
    assert found.p < 0.01


def test_the_score_by_hand() -> None:
    # Ages 1 and 2; two units against one. Weights r1 r2 / (r1 + r2) = 2/3 at both ages, so
    # the score is 2/3 (1/2) - 2/3 (1) and the parts are +-1/6 in the first group, 0 in the other.
    found = cumulative.compare([[1.0], []], [3.0, 3.0], [[2.0]], [3.0])
    assert found.score == pytest.approx(-1 / 3)
    assert found.chi_square == pytest.approx((1 / 9) / (2 / 36))


def test_no_failure_leaves_an_empty_curve_and_no_comparison() -> None:
    assert cumulative.curve([[], []], [3, 4]).mean == ()
    with pytest.raises(InvalidError, match="nothing to compare"):
        cumulative.compare([[]], [3], [[]], [4])


@pytest.mark.parametrize(
    ("events", "ends"), [([[5.0]], [4.0]), ([[0.0]], [4.0]), ([[1.0]], [4.0, 5.0])]
)
def test_an_event_outside_its_unit_s_time_is_refused(
    events: list[list[float]], ends: list[float]
) -> None:
    with pytest.raises(InvalidError):
        cumulative.curve(events, ends)
