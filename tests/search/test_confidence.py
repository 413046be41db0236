import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import asking, confidence, ranking, thesaurus
from kb.search.asking import Knowledge
from kb.search.confidence import Evidence

RARITY = {
    "no": 0.5, "sound": 1.5, "wi": 2.0, "fi": 2.0, "wifi": 4.0, "zebra": 5.0, "telli": 5.0,
}  # fmt: skip
KNOWN = Knowledge(meant=thesaurus.read("screen, telly ~0.5 zebra", ""))
OFTEN = 1e9  # so often that a word counts whole


@pytest.mark.parametrize(
    ("text", "held", "share"),
    [
        ("no sound", {"no", "sound"}, 1.0),
        ("no sound", {"sound"}, 0.75),
        ("sound sound sound zebra", {"sound"}, 1.5 / 6.5),
        ("wi-fi", {"wi", "fi"}, 1.0),
        ("wi-fi no", {"no"}, 0.5 / 4.5),
        ("telly", {"=screen"}, 1.0),
        ("zebra", {"=screen"}, 0.5),
        ("zebra", {"=screen", "zebra"}, 1.0),
        ("", set(), 0.0),
        ("the", {"sound"}, 0.0),
    ],
)
def test_coverage_is_the_share_of_the_words_worth_that_is_spoken_of(
    text: str, held: set[str], share: float
) -> None:
    asked = asking.asked(text, KNOWN)

    told = confidence.coverage(asked, RARITY, dict.fromkeys(held, OFTEN))
    assert told == pytest.approx(share)


def test_what_stands_once_in_the_steps_is_hardly_spoken_of() -> None:
    asked = asking.asked("sound")

    assert confidence.coverage(asked, RARITY, {"sound": 0.25}) == pytest.approx(1 / 3)


def test_strength_is_in_units_of_an_unknown_words_rarity() -> None:
    assert confidence.evidence(0.5, ranking.rarity(100, 0), 100) == Evidence(0.5, 1.0)
    assert confidence.evidence(0.5, 0.0, 100) == confidence.NONE


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 20))
@settings(max_examples=50)
def test_more_coverage_and_more_strength_are_never_less_likely(
    low: float, high: float, strength: float
) -> None:
    low, high = sorted((low, high))

    assert 0 < Evidence(low, strength).probability <= Evidence(high, strength).probability < 1
    assert Evidence(low, strength).probability <= Evidence(low, strength + 1).probability


@pytest.mark.parametrize(
    ("evidence", "confident"),
    [
        (Evidence(1.0, 1.5), True),
        (Evidence(0.3, 4.0), True),
        (Evidence(0.3, 0.6), False),
        (Evidence(1.0, 0.02), False),
        (confidence.NONE, False),
    ],
)
def test_coverage_and_strength_make_up_for_each_other(
    evidence: Evidence, *, confident: bool
) -> None:
    assert confidence.confident(evidence) is confident


@pytest.mark.parametrize(
    ("scores", "lead"), [([], 0.0), ([3.0], 1.0), ([4.0, 3.0], 0.25), ([2.0, 2.0], 0.0)]
)
def test_the_lead_is_what_the_second_lacks(scores: list[float], lead: float) -> None:
    assert confidence.lead(scores) == pytest.approx(lead)
