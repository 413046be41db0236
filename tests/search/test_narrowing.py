"""The one question that tells candidates apart, and what its answer does."""

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import narrowing, traits
from kb.search.listing import Hit
from kb.search.narrowing import Told
from kb.search.query import Answer

AUDIO, VIDEO = "Audio", "Displays and video"


def hit(key: str, score: float, area: str = AUDIO, lines: Sequence[str] = ("it hums",)) -> Hit:
    stored = {"area": area, "traits": traits.counted(lines)}
    return Hit("entry", key, f"title of {key}", score, (), stored)  # type: ignore[arg-type]


def answer(*hits: Hit, confident: bool = True) -> Answer:
    scores = sorted((one.score for one in hits), reverse=True)
    lead = 1 - scores[1] / scores[0] if len(scores) > 1 else 1.0
    return Answer("noise", hits, confident=confident, lead=lead)


def keys(found: Answer) -> list[str]:
    return [one.key for one in found.hits]


CLOSE = (hit("a", 5.0), hit("b", 4.9, VIDEO), hit("c", 4.8), hit("d", 4.7, VIDEO))


def test_what_is_clearly_ahead_is_not_asked_about() -> None:
    assert narrowing.question(answer(hit("a", 9.0), hit("b", 3.0)), Told()) is None
    assert narrowing.question(answer(), Told()) is None
    assert narrowing.question(answer(hit("a", 2.0), confident=False), Told()) is None


def test_areas_are_asked_where_they_split_the_candidates() -> None:
    six = [hit(str(n), 5 - n / 100, f"area {n}") for n in range(6)]
    asked = narrowing.question(answer(*six), Told())

    assert asked is not None
    assert asked.asks == "area"
    assert [one.text for one in asked.options] == [f"area {n}" for n in range(6)] + [
        "None of these"
    ]
    assert asked.options[2].told == Told(area="area 2")


def test_in_one_area_what_it_is_like_is_asked_by_titles_and_never_by_raw_voices() -> None:
    lines = (["we had the professor and now a dog"], ["contact is shaking at desk 2"])
    asked = narrowing.question(
        answer(hit("a", 5.0, lines=lines[0]), hit("b", 4.9, lines=lines[1])),
        Told(passed=("scope", "since")),
    )

    assert asked is not None
    assert [one.text for one in asked.options] == [
        "title of a",
        "title of b",
        "None of these",
    ]
    assert asked.options[1].told.sight == "b"
    assert asked.options[2].told.ruled_out == ("a", "b")


def test_one_or_all_is_asked_where_it_tells_more_than_the_lines() -> None:
    ones = ["only one is dark"] * 30
    alls = ["all of them are dark"] * 30
    pairs = [hit("a", 5.0, lines=ones), hit("b", 5.0, lines=alls)]
    asked = narrowing.question(answer(*pairs), Told(passed=("sight",)))

    assert asked is not None
    assert asked.asks == "scope"
    told = asked.options[1].told
    assert told.scope == "all"
    assert keys(narrowing.narrowed(answer(*pairs), told)) == ["b", "a"]


def test_an_area_that_was_told_comes_first_and_hides_nothing() -> None:
    found = narrowing.narrowed(answer(*CLOSE), Told(area=VIDEO, ruled_out=("b",)))

    assert keys(found) == ["d", "b", "a", "c"]


def test_what_was_recognised_is_first_and_sure() -> None:
    found = narrowing.narrowed(answer(*CLOSE, confident=False), Told(sight="c"))

    assert keys(found)[0] == "c"
    assert found.confident
    assert narrowing.question(found, Told(sight="c")) is None


def test_none_of_these_leads_to_the_next_and_then_to_nothing_sure() -> None:
    told = Told(area=AUDIO, passed=("scope", "since"))
    hits = [hit(str(n), 5 - n / 100) for n in range(6)]
    seen = []
    while asked := narrowing.question(narrowing.narrowed(answer(*hits), told), told):
        seen.append([one.told.sight for one in asked.options[:-1]])
        told = asked.options[-1].told

    assert seen == [["0", "1", "2", "3"], ["4", "5"]]
    assert not narrowing.narrowed(answer(*hits), told).confident


def test_each_answer_can_be_taken_back() -> None:
    told = Told(AUDIO, "a", "one", "start", ("b",), ("sight",))

    back = narrowing.given(told)

    assert [text for text, _before in back] == [
        AUDIO,
        "On one only",
        "From the moment it was switched on",
        "It is the first one here",
        "None of those before",
        "A question passed over",
    ]
    for _text, before in back:
        assert len(narrowing.given(before)) == len(back) - 1


def test_the_gain_is_the_information_of_the_textbook() -> None:
    # A fair coin told without error brings one bit, one told by chance none; a binary symmetric
    # channel with error 0.11 brings 1 - H(0.11) = 0.5001 bit (T. M. Cover and J. A. Thomas,
    # 'Elements of Information Theory', section 7.1.4, from memory; H worked out here).
    even = [0.5, 0.5]
    wrong = 0.11
    channel = [[1 - wrong, wrong], [wrong, 1 - wrong]]

    assert narrowing._gain(even, [[1.0, 0.0], [0.0, 1.0]]) == pytest.approx(1.0)
    assert narrowing._gain(even, [[0.5, 0.5], [0.5, 0.5]]) == pytest.approx(0.0)
    expected = 1 + wrong * math.log2(wrong) + (1 - wrong) * math.log2(1 - wrong)
    assert narrowing._gain(even, channel) == pytest.approx(expected)
    assert expected == pytest.approx(0.5001, abs=5e-5)


SCORES = st.lists(st.floats(0.01, 50), min_size=1, max_size=10)
TOLD = st.builds(
    Told,
    area=st.sampled_from(["", AUDIO, VIDEO, "elsewhere"]),
    sight=st.sampled_from(["", "1", "77"]),
    scope=st.sampled_from(["", "one", "all", "nonsense"]),
    since=st.sampled_from(["", "start", "midway", "change"]),
    ruled_out=st.lists(st.sampled_from(["0", "1", "2", "zz"]), max_size=3).map(tuple),
)


@settings(max_examples=60)
@given(scores=SCORES, told=TOLD, sure=st.booleans())
def test_no_answer_loses_or_doubles_an_entry(
    *, scores: list[float], told: Told, sure: bool
) -> None:
    hits = [
        hit(str(n), score, (AUDIO, VIDEO)[n % 2])
        for n, score in enumerate(sorted(scores, reverse=True))
    ]
    before = answer(*hits, confident=sure)
    after = narrowing.narrowed(before, told)

    assert sorted(keys(after)) == sorted(keys(before))
    assert 0 <= after.lead <= 1
    asked = narrowing.question(after, told)
    if asked:
        assert len({one.text for one in asked.options}) >= 2
        assert all(one.told != told for one in asked.options)
        assert narrowing.question(replace(after, confident=True, lead=1.0), told) is None
