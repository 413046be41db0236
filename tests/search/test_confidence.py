import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import analysis, confidence
from kb.search.confidence import Evidence

RARITY = {"no": 0.5, "sound": 1.5, "wi": 2.0, "fi": 2.0, "wifi": 4.0, "zebra": 5.0}


@pytest.mark.parametrize(
    ("text", "matched", "share"),
    [
        ("no sound", {"no", "sound"}, 1.0),
        ("no sound", {"sound"}, 0.75),
        ("sound zebra", {"sound"}, 1.5 / 6.5),
        ("zebra", set(), 0.0),
        ("sound sound sound zebra", {"sound"}, 1.5 / 6.5),
        ("wi-fi", {"wi", "fi"}, 1.0),
        ("wi-fi no", {"no"}, 0.5 / 4.5),
        ("", set(), 0.0),
        ("the", {"sound"}, 0.0),
    ],
)
def test_the_share_is_of_the_rarity_of_the_words_asked(
    text: str, matched: set[str], share: float
) -> None:
    words = [piece for piece in analysis.pieces(text) if piece.terms]

    assert confidence.share(words, RARITY, matched) == pytest.approx(share)


@given(
    st.lists(st.sampled_from(["no", "sound", "wi-fi", "zebra"])),
    st.sets(st.sampled_from([*RARITY])),
)
@settings(max_examples=100)
def test_the_share_lies_between_nought_and_one_and_grows_with_matches(
    words: list[str], matched: set[str]
) -> None:
    asked = analysis.pieces(" ".join(words))
    share = confidence.share(asked, RARITY, matched)

    assert 0 <= share <= confidence.share(asked, RARITY, set(RARITY)) <= 1


def test_share_and_strength_make_up_for_each_other() -> None:
    assert confidence.confident(Evidence(1.0, confidence.THRESHOLD - 1.0))
    assert confidence.confident(Evidence(0.3, confidence.THRESHOLD))
    assert not confidence.confident(Evidence(0.3, 0.3))
    assert not confidence.confident(confidence.NONE)


@pytest.mark.parametrize(
    ("scores", "lead"), [([], 0.0), ([3.0], 1.0), ([4.0, 3.0], 0.25), ([2.0, 2.0], 0.0)]
)
def test_the_lead_is_what_the_second_lacks(scores: list[float], lead: float) -> None:
    assert confidence.lead(scores) == pytest.approx(lead)
