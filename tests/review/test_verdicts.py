"""A verdict is clear, none or too early; what would settle it is said with its month."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.review import verdicts
from kb.review.methods import ratios
from kb.review.verdicts import Side, Verdict

END = date(2026, 11, 1)
sides = st.builds(
    Side,
    st.sampled_from("abcd"),
    st.integers(0, 15),
    st.integers(100, 5000),
    st.integers(0, 8),
)


@pytest.mark.parametrize(
    ("one", "other", "verdict", "words"),
    [
        ((9, 900, 3), (1, 900, 3), Verdict.WORSE, "A is clearly worse than B: 9 failures in 900"),
        ((6, 900, 3), (4, 900, 3), Verdict.NONE, "No evidence either way between A and B"),
        ((2, 900, 3), (1, 900, 3), Verdict.EARLY, "Too early to tell A from B"),
        ((5, 900, 3), (0, 90, 3), Verdict.EARLY, "0 failures in 90 unit-days"),
        ((0, 900, 3), (0, 900, 3), Verdict.EARLY, "Too early"),
        ((1, 5, 0), (1, 900, 0), Verdict.WORSE, "A is clearly worse"),
    ],
)
def test_a_verdict_and_its_words(
    one: tuple[int, int, int], other: tuple[int, int, int], verdict: Verdict, words: str
) -> None:
    (found,) = verdicts.compare([Side("A", *one), Side("B", *other)], END, confidence=0.9)
    assert found.verdict is verdict
    assert words in found.words
    assert "90 %" in found.words
    assert bool(found.settles) == (verdict is not Verdict.WORSE)


def test_what_would_settle_it() -> None:
    pair = [Side("A", 3, 900, 6), Side("B", 1, 900, 6)]
    (found,) = verdicts.compare(pair, END, confidence=0.9)
    assert found.settles.startswith("If both go on as they did, ")
    assert "a forecast, not a promise" in found.settles
    idle = [Side("A", 3, 900, 0), Side("B", 1, 900, 0)]
    assert verdicts.compare(idle, END, confidence=0.9)[0].settles.startswith("Nothing: neither")
    alike = [Side("A", 5, 900, 1), Side("B", 5, 900, 1)]
    assert verdicts.compare(alike, END, confidence=0.9)[0].settles.startswith("Not within ten")


@settings(max_examples=40, deadline=None)
@given(st.lists(sides, min_size=2, max_size=4))
def test_pairs_are_adjusted_for_each_other_and_the_worse_rate_comes_first(
    given_sides: list[Side],
) -> None:
    found = verdicts.compare(given_sides, END, confidence=0.9)
    count = len(given_sides)
    assert len(found) == count * (count - 1) // 2
    raw = [one.ratio.p for one in found]
    assert sorted(one.p for one in found) == pytest.approx(sorted(ratios.holm(raw)))
    for one in found:
        assert (
            one.worse.failures * one.better.unit_days >= one.better.failures * one.worse.unit_days
        )
        assert (one.verdict is Verdict.WORSE) == (one.p <= 1 - 0.9)
