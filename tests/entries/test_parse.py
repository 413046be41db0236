import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.entries import parse, render
from kb.entries.model import Cause, Check, Fix, Section, Swap
from kb.entries.words import Area, Chance, Disruption, Likely
from kb.errors import InvalidError

Edit = Callable[[str, str], str]
LineOf = Callable[[str, str], int]
SAMPLE = (Path(__file__).parent / "sample.md").read_text(encoding="utf-8")


def test_the_front_matter_holds_what_is_computed_with(sample: str) -> None:
    entry = parse.entry_from(sample)
    assert (entry.slug, entry.area) == ("lamp-dark", Area.POWER)
    assert entry.title == "Signal lamp of the desk stays dark"
    assert entry.classes == ("power-supply", "cable")
    assert entry.symptoms[1:3] == ("off", "12:30 and it went black")
    assert entry.symptoms[-1] == "brown smell: like toast"
    assert entry.causes == (
        Cause("plug loose", Likely.OFTEN),
        Cause("fuse blown", Likely.RARELY),
    )
    assert entry.checks == (
        Check(
            "others",
            "Do the neighbours on the same strip work?",
            5,
            (("plug loose", Chance.ALWAYS), ("fuse blown", Chance.RARELY)),
        ),
    )
    assert entry.confused_with == ("lamp-wrong",)
    assert entry.sources == ("common practice, no source",)


def test_the_body_holds_what_is_read(sample: str) -> None:
    entry = parse.entry_from(sample)
    assert entry.about == ("Half of these are a plug that looks seated and is not.",)
    assert entry.first_acts == Section(
        ("a smell of burning means hands off.",), ("Let go of it.",)
    )
    assert entry.fixes[1] == Fix(
        key="other-outlet",
        title="Use another outlet",
        takes_s=60,
        at_worst_s=180,
        disruption=Disruption.THIS_SOURCE,
        cures=(("plug loose", Chance.HALF),),
        after=("push",),
        section=Section(
            cautions=("pull at the plug, never at the lead.", "dry hands."),
            steps=("Pull the plug.", "Put it into a tested outlet."),
            see="the lamp within five seconds.",
            stop="the second outlet does nothing either.",
        ),
    )
    assert entry.swap == Swap(
        "Swap it",
        180,
        None,
        (("fuse blown", Chance.ALWAYS), ("plug loose", Chance.RARELY)),
        Section((), ("Put the spare in its place.",), "the spare's lamp."),
    )
    assert entry.afterwards == Section((), ("Tag the unit.", "Test its lead."))


def test_every_place_knows_its_line(sample: str, line_of: LineOf) -> None:
    lines = parse.parse(sample).lines
    places = {
        ("title",): "title:",
        ("symptoms", 3): "  - no voltage",
        ("checks", "others"): "  - {key: others",
        ("fixes", "wait"): "  - {key: wait",
        ("swap",): "swap:",
        ("classes", "cable"): "classes:",
        ("about", 0): "Half of these",
        ("body", "push"): "## Push",
        ("body", "push", 1): "2. Push it in",
        ("body", "First acts"): "## First acts",
        ("body", "swap", 0): "1. Put the spare",
        ("body", "Afterwards", 1): "- Test its lead",
    }
    for place, part in places.items():
        assert lines[place] == line_of(sample, part), place


@pytest.mark.parametrize("line_end", ["\r\n", "\r"])
def test_line_ends_of_other_systems_are_read(sample: str, line_end: str) -> None:
    assert parse.parse(sample.replace("\n", line_end)).entry == parse.entry_from(sample)


def test_wrapped_lines_are_read_as_one(edited: Edit, sample: str) -> None:
    text = edited("Half of these are a plug that", "Half of these\nare a  plug that")
    assert parse.entry_from(text) == parse.entry_from(sample)


WHOLE = [
    ("---\nslug", "slug", "slug", "the first line isn't '---'"),
    ("]\n---\n", "]\n", "---", "isn't closed"),
    ("Tag the unit", "Tag the \x07 unit", "- Tag", "U+0007"),
    ("Tag the unit", "Tag the \u202e unit", "- Tag", "U+202E"),
    ("{#wait}", "{#weight}", "## Wait", "no fix has the key 'weight'"),
    ("{#wait}", "{#weight}", "  - {key: wait", "Write '## Title {#wait}'"),
    ("{#swap}", "{#spare}", "swap:", "Write '## Title {#swap}'"),
    ("{#wait}", "{#push}", "## Wait", "the heading for 'push' comes twice"),
    ("## Afterwards", "## First acts", "## First acts\n\n-", "'First acts' comes twice"),
    ("\n- Tag the unit.\n- Test its lead.\n", "", "## Afterwards", "nothing stands under"),
]


@pytest.mark.parametrize(("old", "new", "part", "message"), WHOLE)
def test_what_is_wrong_is_told_with_its_line(
    edited: Edit, line_of: LineOf, old: str, new: str, part: str, message: str
) -> None:
    text = edited(old, new)
    parsed = parse.parse(text)
    assert parsed.entry is None
    found = [finding for finding in parsed.findings if message in finding.message]
    assert [finding.line for finding in found] == [line_of(text, part)]


def test_a_text_too_long_to_be_an_entry_is_not_read(sample: str) -> None:
    parsed = parse.parse(sample + "x" * parse.TEXT_LIMIT)
    assert [finding.line for finding in parsed.findings] == [1]
    assert "too many" in parsed.findings[0].message


def test_one_error_names_everything_by_line(edited: Edit) -> None:
    text = edited("area: Power, batteries and heat", "area: Kitchen").replace("20s", "soon")
    with pytest.raises(InvalidError) as caught:
        parse.entry_from(text)
    assert [problem.field for problem in caught.value.problems] == ["line 4", "line 26"]
    assert "'Kitchen' is none of" in str(caught.value)
    assert "'soon' is no duration" in str(caught.value)


@given(st.text(max_size=60), st.booleans())
@settings(max_examples=60)
def test_no_text_makes_it_stumble(text: str, fenced: bool) -> None:  # noqa: FBT001 - Hypothesis
    whole = f"---\n{text}\n---\n{text}" if fenced else text
    parsed = parse.parse(whole)
    assert parsed.entry is None
    assert parsed.findings


def _words_below(text: str) -> Counter[str]:
    """Return the words of the body, list numbers left out."""
    return Counter(re.findall(r"[A-Za-z]+", text.split("\n---", 1)[1]))


BITS = ["\n", "\n\n", " ", "#", "## ", "> ", "1. ", "- ", "{#x}", "---\n", "```\n", "    ", "\\"]
BITS += ["You should see: ", "Stop when: ", "> Caution: ", "<b>", "[a]: b", "*", "`", '"', ": "]


@given(
    st.lists(st.tuples(st.integers(0, len(SAMPLE)), st.sampled_from(BITS)), min_size=1, max_size=2)
)
@settings(max_examples=80)
def test_an_edited_text_is_refused_by_line_or_loses_nothing(
    edits: list[tuple[int, str]],
) -> None:
    text = SAMPLE
    for where, bit in edits:
        text = text[:where] + bit + text[where:]
    parsed = parse.parse(text)
    if parsed.entry is None:
        assert all(1 <= finding.line <= text.count("\n") + 1 for finding in parsed.findings)
        return
    written = render.to_markdown(parsed.entry)
    assert parse.parse(written).entry == parsed.entry
    assert _words_below(written) == _words_below(text)
