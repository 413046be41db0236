"""A closed fault as a draft: always readable, what worked first, questions for the person."""

import pytest
from builders import a_model, a_place, an_item
from entry_strategies import LINES
from fault_builders import FAILED, NOW, a_fault, a_try, an_entry
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlmodel import Session

from kb.entries import lint, parse, render
from kb.entries.model import Entry
from kb.entries.words import Area, Chance
from kb.errors import ConflictError, NotFoundError
from kb.faults import closing, drafting
from kb.faults.drafting import Story, Tried

# Anything that may be typed, and texts longer than a line of an entry holds (300 characters).
TEXTS = LINES | st.text(max_size=20) | st.just("wobble " * 90) | st.just("x" * 20_000)
TRIED = st.builds(Tried, TEXTS, st.none() | st.integers(1, 600_000), st.booleans())
STORIES = st.builds(
    Story,
    TEXTS,
    st.sampled_from(["", "camera"]),
    st.sampled_from(Area),
    TEXTS,
    st.lists(TRIED, max_size=3).map(tuple),
)


def entry(story: Story) -> Entry:
    return parse.entry_from(drafting.draft_text(story))


@given(STORIES)
@settings(max_examples=60)
def test_whatever_was_typed_the_draft_is_an_entry_in_house_form(story: Story) -> None:
    text = drafting.draft_text(story)
    found = parse.entry_from(text)

    assert render.to_markdown(found) == text
    assert len(found.fixes) == max(1, len(story.tried))
    assert (found.area, found.classes) == (
        story.area,
        tuple(filter(None, [story.equipment_class])),
    )


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
    assert "did not work that time" in found.fixes[1].section.see


def test_what_nobody_said_is_asked() -> None:
    found = entry(Story())

    assert found.title.endswith("?")
    assert found.cause_names == ("which cause?",)
    assert found.fixes[0].title == "What helped?"
    assert found.fixes[0].section.steps == ("Which steps, and how long do they take?",)


def test_a_draft_is_plainly_not_finished() -> None:
    found = [str(one) for one in lint.lint(drafting.draft_text(Story("green wall")), set())]

    assert any("symptom" in one for one in found), found


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


def test_a_closed_fault_is_told_with_the_titles_of_what_was_tried(session: Session) -> None:
    a_place(session)
    a_model(session, name="Lens", equipment_class="camera")
    an_item(session, model="Lens", place="RR")
    an_entry(session)
    number = a_fault(session, text="picture is\ngreenish", entry="display-no-signal")
    a_try(session, number, "replug", outcome=FAILED)
    a_try(session, number, "restart", minutes=2.5)
    with pytest.raises(ConflictError, match="not closed yet"):
        drafting.draft_of(session, number)
    closing.close_fault(session, number, {"kind": "own failure", "note": "bad lead"}, NOW)
    found = parse.entry_from(drafting.draft_of(session, number))

    assert found.symptoms == ("picture is greenish",)
    assert (found.area, found.classes) == (Area.DISPLAYS, ("camera",))
    assert [(fix.title, fix.takes_s) for fix in found.fixes] == [
        ("Restart", 150),
        ("Replug it", 60),
    ]
    assert found.cause_names == ("bad lead",)


def test_a_fault_that_is_not_there_gives_no_draft(session: Session) -> None:
    with pytest.raises(NotFoundError):
        drafting.draft_of(session, 9)
