from collections.abc import Callable

import pytest

from kb.entries import lint

Edit = Callable[[str, str], str]
LineOf = Callable[[str, str], int]
KNOWN = frozenset({"lamp-dark", "lamp-wrong"})

PRACTICE = '["common practice, no source"]'
EDITS = [
    ("1. Count to ninety.\n\n", "", "## Wait", "no steps tell what to do"),
    ("You should see: the lamp.\n\n", "", "## Wait", "Write 'You should see: ...'"),
    ("1. Let go of it.\n\n", "", "## First acts", "'First acts' lists no acts"),
    ("1. Put the spare in its place.\n\n", "", "## Swap it", "no steps tell what to do"),
    ("Half of", "One.\n\nTwo.\n\nHalf of", "Half of", "one paragraph too many. Keep 2"),
    ("2. Push it in.", "2. Climb the ladder.", "2. Climb", "the step speaks of 'ladder'"),
    ("- Tag the unit.", "- Change the battery.", "- Change", "the step speaks of 'battery'"),
    ("1. Pull the plug.", "1. Press the breaker.", "1. Press", "which isn't everybody's work"),
    ("[lamp-wrong]", "[lamp-dark]", "confused with:", "confused with itself"),
    ("[lamp-wrong]", "[lamp-gone]", "confused with:", "no entry is called 'lamp-gone'"),
    (f"sources: {PRACTICE}\n", "", "---", "no source is named"),
    (PRACTICE, "[https://a.example]", "sources:", "'https:' is part of a web address"),
    (PRACTICE, "[see www.a.example]", "sources:", "'www.' is part of a web address"),
    (PRACTICE, "[read at lamps.com]", "sources:", "'lamps.com' is part of a web address"),
    ("Half of", "At 48 V half of", "At 48 V", "'48 V' has no source"),
    ("Count to ninety.", "Wait for -20 dBFS.", "1. Wait", "'-20 dBFS' has no source"),
    ("the lamp at once", "100 Mb/s", "## Push", "'100 Mb/s' has no source"),
    ("Half of", "<b>Half</b> of", "<b>Half", "HTML isn't shown"),
    ("Half of", "<!-- half --> of", "<!-- half", "HTML isn't shown"),
    ("Tag the unit.", "Tag <br/> the unit.", "- Tag", "HTML isn't shown"),
    ("## Push the plug", "## Push <i> the plug", "## Push", "HTML isn't shown"),
    ("key: push, takes: 20s", "key: push, takes: 3min", "## Push", "takes 3 min and nothing says"),
    ("Half of", "![half](of.png)", "![half", "pictures aren't shown"),
]


@pytest.mark.parametrize(("old", "new", "part", "message"), EDITS)
def test_a_broken_rule_is_told_with_its_line(
    edited: Edit, line_of: LineOf, old: str, new: str, part: str, message: str
) -> None:
    text = edited(old, new)
    (finding,) = lint.lint(text, KNOWN)
    assert message in finding.message
    assert finding.line == line_of(text, part)


FINE = [
    ("2. Push it in.\n", "2. Press `<Enter>` and see a < b > c.\n"),
    ("- Tag the unit.", "> Caution: acid.\n\n- Change the battery."),
    ("> Caution: dry hands.", "> Caution: breakers are an electrician's work."),
    (PRACTICE, '["IEC 61938, phantom supply of 48 V"]'),
    (PRACTICE, '["from memory: 48 V +- 4 V"]'),
    ("key: push, takes: 20s", "key: push, takes: 2min"),
    ("Half of", "In 10 s and at 3.5 m half of"),
    ("You should see: the lamp.", "You should see: the lamp.\n\nStop when: it smells."),
]


@pytest.mark.parametrize(("old", "new"), FINE)
def test_what_is_fine_is_left_alone(edited: Edit, old: str, new: str) -> None:
    assert lint.lint(edited(old, new), KNOWN) == ()


def test_a_figure_is_fine_once_a_source_is_named(edited: Edit) -> None:
    text = edited(PRACTICE, '["common practice, no source", "from memory: 48 V"]')
    assert lint.lint(text.replace("Half of", "At 48 V half of"), KNOWN) == ()


def test_work_at_a_breaker_is_fine_once_it_is_left_to_whom_it_belongs(edited: Edit) -> None:
    text = edited("1. Pull the plug.", "1. Press the breaker.")
    assert lint.lint(text.replace("dry hands.", "local rules decide who may."), KNOWN) == ()
