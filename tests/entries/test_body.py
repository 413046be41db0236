from collections.abc import Callable

import pytest

from kb.entries import body, parse
from kb.entries.model import Section
from kb.entries.source import Notes

Edit = Callable[[str, str], str]
LineOf = Callable[[str, str], int]

STEP = "2. Push it in.\n"
SEE = "You should see: the lamp at once.\n"
CAUTION = "> Caution: dry hands.\n"
BROKEN = [
    ("Half of these", "- Half of these", "- Half", "a list has no place here"),
    ("Half of these", "> Half of these", "> Half", "a quote has no place here"),
    ("Half of these", "    Half of these", "    Half", "an indented block has no place"),
    ("## Push the plug home {#push}", "## Push the plug home", "## Push", "carries no key"),
    ("## Push the plug home {#push}", "## {#push}", "## {#push}", "has no title"),
    ("## Push the plug home {#push}", "### Push {#push}", "### Push", "second rank"),
    ("## Push the plug home {#push}", "Push {#push}\n---", "Push {#push}", "second rank"),
    ("## Push the", f"## {'Push ' * 60}", "## Push", "the heading is too long"),
    ("## First acts", "## First act", "## First act", "Write '## First act {#key}'"),
    (STEP, STEP + "\n\n- Push more.\n", "- Push more", "a second list"),
    (STEP, STEP + "   - Push more.\n", "   - Push more", "a list within a step"),
    (STEP, STEP + "\n   Push more.\n", "   Push more", "a second paragraph within a step"),
    (STEP, "2. # Push it in.\n", "2. # Push", "is no line of text"),
    (STEP, "2.\n", "2.\n", "is no line of text"),
    (STEP, STEP + "You should feel it.\n\nPush.\n", "Push.\n\nYou", "this paragraph has no place"),
    (STEP, STEP + "Stop when: x\n", "Stop when: x", "clings to the line above"),
    (SEE, SEE + "Stop when: x\n", "Stop when: x", "clings to the line above"),
    (SEE, SEE + "\n" + SEE, SEE + "\n## Use", "a second 'You should see:'"),
    (SEE, SEE + "\nLook twice.\n", "Look twice", "this paragraph has no place"),
    (SEE, "You should see:\n", "You should see:\n", "nothing stands behind"),
    (SEE, SEE + "\n```\ncode\n```\n", "```\ncode", "a block of code has no place"),
    (SEE, SEE + "\n***\n", "***", "a line of dashes has no place"),
    (SEE, "You should see: the  \nlamp\n", "You should see: the  ", "a forced line break"),
    (SEE, "You should see: the\\\nlamp\n", "You should see: the\\", "a forced line break"),
    (SEE, f"You should see: {'x' * 2000}\n", "You should see: x", "2,016 characters are too many"),
    (CAUTION, "> Dry hands.\n", "> Dry", "a quote that is no caution"),
    (CAUTION, "> Caution:\n", "> Caution:\n", "a quote that is no caution"),
    (CAUTION, "> - Caution: dry hands.\n", "> - Caution", "a quote that is no caution"),
    (CAUTION, CAUTION + "> Caution: x\n", "> Caution: x", "clings to the line above"),
]


@pytest.mark.parametrize(("old", "new", "part", "message"), BROKEN)
def test_what_has_no_place_is_told_with_its_line(
    edited: Edit, line_of: LineOf, old: str, new: str, part: str, message: str
) -> None:
    text = edited(old, new)
    parsed = parse.parse(text)
    assert parsed.entry is None
    found = [finding for finding in parsed.findings if message in finding.message]
    assert [finding.line for finding in found] == [line_of(text, part)]


def read(text: str) -> body.Body:
    """Return a body in which nothing is found."""
    notes = Notes()
    found = body.read(text, 1, notes)
    assert notes.findings == []
    return found


def test_a_step_may_begin_as_a_verification_does() -> None:
    part = read("## A {#a}\n\n1. Stop when: it is\n2. You should see: it\n").parts[0]
    assert part.section == Section(steps=("Stop when: it is", "You should see: it"))


def test_two_cautions_may_stand_in_one_quote() -> None:
    part = read("## A {#a}\n\n> Caution: hot.\n>\n> Caution: heavy.\n").parts[0]
    assert part.section == Section(cautions=("hot.", "heavy."))


def test_html_and_link_definitions_stay_text() -> None:
    about = read("<b>now</b>\n\n[a]: b\n\n&amp; <!-- c -->\n").about
    assert about == ("<b>now</b>", "[a]: b", "&amp; <!-- c -->")


def test_a_title_may_hold_braces() -> None:
    part = read("## Set {#a} to {0} {#set}\n").parts[0]
    assert (part.title, part.key) == ("Set {#a} to {0}", "set")
