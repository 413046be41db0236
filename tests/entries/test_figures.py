from collections.abc import Callable
from dataclasses import replace

import pytest

from kb.entries import figures, lint, parse
from kb.entries.case import Case, Rule
from kb.entries.model import Cause, Check, Entry, Fix, Swap
from kb.entries.words import Chance, Disruption, Likely

Edit = Callable[[str, str], str]
LineOf = Callable[[str, str], int]
KNOWN = frozenset({"lamp-wrong"})


@pytest.fixture
def entry(sample: str) -> Entry:
    """Return the entry that breaks no rule."""
    return parse.entry_from(sample)


def found(rule: Rule, entry: Entry) -> list[str]:
    """Return what one rule finds."""
    return [finding.message for finding in rule(Case("", entry, {}, KNOWN))]


EDITS = [
    ("  - off\n", "", "symptoms:", "too few symptom lines: 14. Write at least 15"),
    (
        "- off\n",
        "- led put out by start\n",
        "  - LED ext",
        "more than half of its words with line 8",
    ),
    (
        "fuse blown: rarely}\nchecks",
        "fuse blown: often}\nchecks",
        "causes:",
        "don't differ in how",
    ),
    ("plug loose: half", "plug loose: usually", "fixes:", "the fixes all cure equally well"),
    ("plug loose: always, fuse blown: rarely}}", "plug loose: half}}", "  - {key: others", "tell"),
    (
        '"Do the neighbours on the same strip work?"',
        "Do they work",
        "  - {key: others",
        "is no question",
    ),
    ("at worst: 3min", "at worst: 90s", "  - {key: other-outlet", "which holds anyway. Drop it"),
    ("swap: {takes: 3min", "swap: {takes: 2min, at worst: 3min", "swap:", "which holds anyway"),
    ("fuse blown: always, ", "", "causes:", "nothing cures 'fuse blown'"),
    ("fuse blown: always", "fuse blown: never", "causes:", "nothing cures 'fuse blown'"),
    ("classes: [power-supply, cable]\n", "", "---", "no equipment class is named"),
]


@pytest.mark.parametrize(("old", "new", "part", "message"), EDITS)
def test_a_broken_rule_is_told_with_its_line(
    edited: Edit, line_of: LineOf, old: str, new: str, part: str, message: str
) -> None:
    text = edited(old, new)
    (finding,) = lint.lint(text, KNOWN)
    assert message in finding.message
    assert finding.line == line_of(text, part)


def test_three_symptom_lines_speak_without_the_title(entry: Entry) -> None:
    lines = ("glow", "sound", *(f"lamp {number}" for number in range(20)))
    (message,) = found(figures.symptoms_beside_title, replace(entry, symptoms=lines))
    assert message.startswith("symptom lines that share no word with the title: only 2.")
    assert not found(figures.symptoms_beside_title, replace(entry, symptoms=("hum", *lines)))


@pytest.mark.parametrize("causes", [(), (Cause("a", Likely.OFTEN),)])
def test_one_cause_is_not_enough(entry: Entry, causes: tuple[Cause, ...]) -> None:
    assert len(found(figures.causes_differ, replace(entry, causes=causes))) == 1


def test_the_fourth_check_and_the_eighth_fix_are_too_many(entry: Entry) -> None:
    checks = tuple(Check(f"c{number}", "A?", 1) for number in range(4))
    fixes = tuple(Fix(f"f{number}", "A", 1) for number in range(9))
    assert found(figures.few_checks, replace(entry, checks=checks[:3])) == []
    assert len(found(figures.few_checks, replace(entry, checks=checks))) == 1
    assert found(figures.few_fixes, replace(entry, fixes=fixes[:7])) == []
    assert len(found(figures.few_fixes, replace(entry, fixes=fixes))) == 2


def test_a_check_that_names_some_causes_tells_them_from_the_others(entry: Entry) -> None:
    check = Check("c", "A?", 1, (("plug loose", Chance.ALWAYS),))
    assert found(figures.checks_tell, replace(entry, checks=(check,))) == []


def fixes(*rows: tuple[str, Disruption, tuple[str, ...]]) -> tuple[Fix, ...]:
    """Return fixes from a key, what they interrupt, and what must come before."""
    return tuple(
        Fix(key, "A", 1, disruption=disruption, after=after) for key, disruption, after in rows
    )


NONE, SOURCE, SHOW = Disruption.NONE, Disruption.THIS_SOURCE, Disruption.WHOLE_SHOW


@pytest.mark.parametrize(
    ("rows", "found_count"),
    [
        ([("a", NONE, ()), ("b", SHOW, ())], 0),
        ([("a", SHOW, ()), ("b", NONE, ())], 1),
        ([("a", SHOW, ()), ("b", NONE, ("a",))], 0),
        ([("a", SHOW, ()), ("b", SOURCE, ("a",)), ("c", NONE, ("b",))], 0),
        ([("a", SHOW, ()), ("b", SHOW, ()), ("c", NONE, ("a",))], 1),
        ([("a", SOURCE, ()), ("b", NONE, ())], 0),
    ],
)
def test_what_disturbs_nobody_stands_above_what_stops_the_show(
    entry: Entry, rows: list[tuple[str, Disruption, tuple[str, ...]]], found_count: int
) -> None:
    changed = replace(entry, fixes=fixes(*rows))
    assert len(found(figures.harmless_first, changed)) == found_count


def test_the_swap_may_be_the_only_cure(entry: Entry) -> None:
    assert found(figures.causes_cured, replace(entry, fixes=())) == []
    swap = Swap("A", 1, None, (("plug loose", Chance.ALWAYS),))
    assert len(found(figures.causes_cured, replace(entry, fixes=(), swap=swap))) == 1
    assert len(found(figures.causes_cured, replace(entry, fixes=(), swap=None))) == 2
