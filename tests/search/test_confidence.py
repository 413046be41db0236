import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import analysis, confidence, ranking
from kb.search.confidence import Evidence

RARITY = {"no": 0.5, "sound": 1.5, "wi": 2.0, "fi": 2.0, "wifi": 4.0, "zebra": 5.0}
COUNT = 100


@pytest.mark.parametrize(
    ("text", "matched", "worth"),
    [
        ("no sound", {"no", "sound"}, 2.0),
        ("no sound", {"sound"}, 2.0),
        ("sound sound sound zebra", {"sound"}, 6.5),
        ("wi-fi", {"wi", "fi"}, 2.0),
        ("wi-fi", {"wifi"}, 4.0),
        ("wi-fi no", {"no"}, 4.5),
        ("", set(), 0.0),
        ("the", {"sound"}, 0.0),
    ],
)
def test_a_word_is_worth_its_rarest_term_or_the_rarest_that_matched(
    text: str, matched: set[str], worth: float
) -> None:
    assert confidence.worth(analysis.pieces(text), RARITY, matched) == pytest.approx(worth)


def test_reach_is_of_the_highest_score_and_strength_of_an_unknown_words_rarity() -> None:
    half = confidence.evidence(2.2, 2.0, COUNT)

    assert half.reach == pytest.approx(2.2 / (2.0 * (ranking.K1 + 1)))
    assert half.strength == pytest.approx(2.2 / ranking.rarity(COUNT, 0))
    assert half.measure == pytest.approx(half.reach + confidence.STRENGTH_WEIGHT * half.strength)


@given(st.floats(0, 50), st.floats(0.01, 40), st.integers(1, 10_000))
@settings(max_examples=100)
def test_more_score_is_never_less_evidence(score: float, worth: float, count: int) -> None:
    less, more = (confidence.evidence(each, worth, count) for each in (score, score + 1))

    assert 0 <= less.reach <= more.reach <= 1
    assert 0 <= less.measure < more.measure


@pytest.mark.parametrize(
    ("evidence", "confident"),
    [
        (Evidence(confidence.THRESHOLD, 0.1), True),
        (Evidence(0.2, 3 * confidence.THRESHOLD), True),
        (Evidence(0.3, 0.3), False),
        (Evidence(1.0, confidence.FLOOR / 2), False),
        (confidence.NONE, False),
    ],
)
def test_reach_and_strength_make_up_for_each_other_above_a_floor(
    evidence: Evidence, *, confident: bool
) -> None:
    assert confidence.confident(evidence) is confident


@pytest.mark.parametrize(
    ("scores", "lead"), [([], 0.0), ([3.0], 1.0), ([4.0, 3.0], 0.25), ([2.0, 2.0], 0.0)]
)
def test_the_lead_is_what_the_second_lacks(scores: list[float], lead: float) -> None:
    assert confidence.lead(scores) == pytest.approx(lead)
