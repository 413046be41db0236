"""A fault's story as a draft: always readable, what worked first, questions for the person."""

import pytest
from entry_strategies import KEYS, LINES, SECONDS, SECTIONS
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.entries import lint, parse, render
from kb.entries.model import Entry, Fix, Section, Swap
from kb.entries.words import Area, Chance, Disruption
from kb.faults import drafting
from kb.faults.drafting import Story, Tried

# Anything that may be typed, and texts longer than a line of an entry holds (300 characters).
TEXTS = LINES | st.text(max_size=20) | st.just("wobble " * 90) | st.just("x" * 20_000)
TOLD = st.one_of(
    st.none(),
    st.builds(Fix, KEYS, LINES, SECONDS, section=SECTIONS),
    st.builds(Swap, LINES, SECONDS, section=SECTIONS),
)
TRIED = st.builds(Tried, TEXTS, st.none() | st.integers(1, 600_000), st.booleans(), TOLD)
STORIES = st.builds(
    Story,
    TEXTS,
    st.sampled_from(["", "camera"]),
    st.sampled_from(Area),
    TEXTS,
    st.lists(TRIED, max_size=3).map(tuple),
    SECTIONS,
)
BURN = Section(cautions=("the lamp is hot.",), steps=("Let it cool.", "Turn it."), see="light.")
TURN = Fix("turn", "Turn the lamp", 90, 240, Disruption.THIS_SOURCE, after=("wait",), section=BURN)


def entry(story: Story) -> Entry:
    return parse.entry_from(drafting.draft_text(story))


@given(STORIES)
@settings(max_examples=60)
def test_whatever_was_typed_the_draft_is_an_entry_in_house_form(story: Story) -> None:
    text = drafting.draft_text(story)
    found = parse.entry_from(text)

    assert render.to_markdown(found) == text
    assert 1 <= len(found.fixes) <= max(1, len(story.tried))
    assert (found.area, found.first_acts) == (story.area, story.first_acts)
    assert found.classes == tuple(filter(None, [story.equipment_class]))


def test_what_worked_comes_first_and_what_did_not_is_said() -> None:
    tried = (Tried("turned the lamp", 120, worked=False), Tried("tightened it", 30, worked=True))
    found = entry(Story("Zebra wobble", "camera", Area.CAMERAS, "loose ring", tried))

    assert [(fix.title, fix.takes_s) for fix in found.fixes] == [
        ("Tightened it", 30),
        ("Turned the lamp", 120),
    ]
    assert [fix.cures for fix in found.fixes] == [
        (("loose ring", Chance.USUALLY),),
        (("loose ring", Chance.RARELY),),
    ]
    assert found.cause_names == ("loose ring",)
    assert (found.slug, found.symptoms) == ("zebra-wobble", ("Zebra wobble",))
    assert found.about[1:] == ("It did not help that time: turned the lamp. Does it stay?",)


def test_what_an_entry_tells_of_a_fix_comes_along_with_its_cautions() -> None:
    tried = (Tried("Turn the lamp", 120, worked=True, told=TURN),)
    [fix] = entry(Story("Zebra wobble", cause="loose ring", tried=tried)).fixes

    assert (fix.title, fix.takes_s, fix.at_worst_s) == ("Turn the lamp", 90, 240)
    assert (fix.section, fix.disruption) == (BURN, Disruption.THIS_SOURCE)
    assert (fix.after, fix.cures) == ((), (("loose ring", Chance.USUALLY),))


def test_what_was_tried_again_stands_once_and_worked_where_it_did_in_the_end() -> None:
    tried = (
        Tried("Turn the lamp", None, worked=False, told=TURN),
        Tried("waited", None, worked=False),
        Tried("turn  the lamp", None, worked=True, told=TURN),
    )
    found = entry(Story("Zebra wobble", tried=tried))

    assert [fix.title for fix in found.fixes] == ["Turn the lamp", "Waited"]
    assert found.about[1:] == ("It did not help that time: waited. Does it stay?",)


def test_a_swap_that_was_tried_is_the_swap() -> None:
    swap = Swap("Swap it", 180, section=BURN)
    tried = (Tried("Swap it", None, worked=False, told=swap),)
    found = entry(Story("Zebra wobble", cause="loose ring", tried=tried))

    assert found.swap
    assert (found.swap.section, found.swap.takes_s) == (BURN, 180)
    assert found.swap.cures == (("loose ring", Chance.RARELY),)
    assert [fix.title for fix in found.fixes] == ["What helped?"]


def test_what_nobody_said_is_asked() -> None:
    found = entry(Story())

    assert found.title.endswith("?")
    assert found.cause_names == ("which cause?",)
    assert found.fixes[0].title == "What helped?"
    assert found.fixes[0].section.steps == ("Which steps, and how long do they take?",)
    assert found.sources == ("common practice, no source",)


def test_a_draft_is_plainly_not_finished() -> None:
    found = [str(one) for one in lint.lint(drafting.draft_text(Story("green wall")), set())]

    assert any("symptom" in one for one in found), found


def test_lint_asks_of_a_draft_only_what_nobody_knows_yet() -> None:
    """Words, more symptoms, more causes; the form, sources and cautions are right already."""
    tried = (
        Tried("Turn the lamp", 120, worked=False, told=TURN),
        Tried("waited", 60, worked=False),
        Tried("tightened it", 30, worked=True),
    )
    sources = (drafting.source_of(87),)
    story = Story("wobbling", "camera", Area.CAMERAS, "loose ring", tried, sources=sources)
    found = lint.lint(drafting.draft_text(story), set())

    assert {one.message.split(":")[0].split(".")[0] for one in found} == {
        "too few symptom lines",
        "symptom lines that share no word with the title",
        "the causes don't differ in how likely they are",
    }


def test_a_time_of_many_minutes_is_told_in_minutes() -> None:
    tried = (Tried("waited", 100_001, worked=True), Tried("looked", 95, worked=True))

    assert [fix.takes_s for fix in entry(Story("x", tried=tried)).fixes] == [100_020, 95]


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("Ümlaut café: wall, is GREEN", "umlaut-cafe-wall-is-green"),
        ("one two three four five six seven", "one-two-three-four-five-six"),
        ("x" * 90, "x" * 60),
        ("画面", "a-new-entry"),
        ("", "a-new-entry"),
    ],
)
def test_the_slug_is_made_of_the_first_words(text: str, slug: str) -> None:
    assert entry(Story(text)).slug == slug


@pytest.mark.parametrize(
    ("text", "taken", "slug"),
    [
        ("green wall", {"green-wall"}, "green-wall-2"),
        ("green wall", {"green-wall", "green-wall-2"}, "green-wall-3"),
        ("green wall", {"green-wall-2"}, "green-wall"),
        ("x" * 90, {"x" * 60}, f"{'x' * 58}-2"),
    ],
)
def test_the_slug_is_one_that_no_entry_has(text: str, taken: set[str], slug: str) -> None:
    assert parse.entry_from(drafting.draft_text(Story(text), taken)).slug == slug
