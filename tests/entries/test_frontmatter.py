from collections.abc import Callable

import pytest

from kb.entries import frontmatter, parse
from kb.entries.source import Notes

Edit = Callable[[str, str], str]
LineOf = Callable[[str, str], int]

SYMPTOM = "  - the little light does not glow"
CHECKS_END = "fuse blown: rarely}}\nfixes"
BROKEN = [
    ("slug: lamp-dark", "slug: Lamp-Dark", "slug:", "'Lamp-Dark' is no key"),
    ("slug: lamp-dark", "slug: lamp--dark", "slug:", "'lamp--dark' is no key"),
    ("slug: lamp-dark", "slug: " + "a" * 61, "slug:", "at most 60"),
    ("slug: lamp-dark\n", "", "title:", "has no 'slug'"),
    ("title: Signal lamp of the desk stays dark", "title:", "title:", "the text is empty"),
    ("title: Signal lamp", "title: [Signal]\nsubtitle: lamp", "title:", "line of text"),
    ("title: Signal lamp", "subtitle: x\ntitle: lamp", "subtitle", "knows no 'subtitle'"),
    ("title: Signal lamp", "title: x\ntitle: lamp", "title: lamp", "'title' comes twice"),
    ("title: Signal", "title: " + "long " * 60, "title:", "327 characters are too many"),
    ("area: Power, batteries and heat", "area: Power", "area:", "'Power' is none of: Displays"),
    ("power-supply, cable", "power-supply, teapot", "classes:", "no such class 'teapot'"),
    ("power-supply, cable", "cable, cable", "classes:", "'cable' comes twice in 'classes'"),
    ("[power-supply, cable]", "cable", "classes:", "'classes' is no list"),
    ("[power-supply, cable]", "[]", "classes:", "'classes' is empty"),
    (SYMPTOM, "  - the light: not glowing", "  - the light", "Put it in double quotes"),
    (SYMPTOM, '  - ""', '  - ""', "the text is empty"),
    (SYMPTOM, "  - plug # 3 dark", "  - plug", "is a remark"),
    ("fuse blown: rarely}\nchecks", "fuse blown: rarely]}\nchecks", "causes:", "no YAML"),
    ("fuse blown: rarely}\nchecks", "fuse blown: seldom}\nchecks", "causes:", "'seldom' is none"),
    ("{plug loose: often, fuse blown: rarely}", "[plug loose]", "causes:", "as {name: word"),
    ("{plug loose: often, fuse blown: rarely}", "{}", "causes:", "as {name: word"),
    (CHECKS_END, "fuse: rarely}}\nfixes", "  - {key: others", "no such cause 'fuse'"),
    (CHECKS_END, "fuse blown: maybe}}\nfixes", "  - {key: others", "'maybe' is none of: always"),
    ("takes: 5s, ", "", "  - {key: others", "a check has no 'takes'"),
    ("takes: 5s", "takes: 5", "  - {key: others", "'5' is no duration"),
    ("takes: 5s", "takes: 0s", "  - {key: others", "'0s' is no duration"),
    ("takes: 5s", "takes: 1.5min", "  - {key: others", "'1.5min' is no duration"),
    ("{key: push", "{name: push", "  - {name: push", "a fix knows no 'name'"),
    ("{key: push", "{key: swap", "  - {key: swap", "'swap' is the key of the swap"),
    ("{key: push", "{key: wait", "  - {key: wait, takes: 90s", "'wait' comes twice in 'fixes'"),
    ("{key: wait, takes: 90s, disruption: this source}", "wait", "  - wait", "lists {key:"),
    ("disruption: none", "disruption: half", "  - {key: push", "'half' is none of: none"),
    ("at worst: 3min", "at worst: 30s", "  - {key: other-outlet", "shorter than 'takes'"),
    ("after: push", "after: wait", "  - {key: other-outlet", "'after: wait' names no fix above"),
    ("after: push", "after: other-outlet", "  - {key: other-outlet", "names no fix above"),
    ("after: push", "after: [push, x]", "  - {key: other-outlet", "'after: x' names no fix"),
    ("cures: {plug loose: half}", "cures: {}", "  - {key: other-outlet", "as {name: word"),
    ("swap: {takes: 3min, ", "swap: {", "swap:", "the swap has no 'takes'"),
    ("swap: {takes: 3min, ", "swap: {takes: 3min, key: x, ", "swap:", "knows no 'key'"),
    ("fuse blown: always", "fuse: always", "swap:", "no such cause 'fuse'"),
    ("[lamp-wrong]", '["Lamp wrong"]', "confused with:", "'Lamp wrong' is no key"),
]


@pytest.mark.parametrize(("old", "new", "part", "message"), BROKEN)
def test_a_broken_front_matter_is_told_with_its_line(
    edited: Edit, line_of: LineOf, old: str, new: str, part: str, message: str
) -> None:
    text = edited(old, new)
    parsed = parse.parse(text)
    assert parsed.entry is None
    found = [finding for finding in parsed.findings if message in finding.message]
    assert [finding.line for finding in found] == [line_of(text, part)]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("classes: [power-supply, cable]\n", ""),
        ("confused with: [lamp-wrong]\n", ""),
        ("sources: [", "sources:\n  - "),
        ("after: push", "after: [push]"),
    ],
)
def test_what_is_left_out_or_written_otherwise_is_read(edited: Edit, old: str, new: str) -> None:
    text = edited(old, new).replace('- "common practice, no source"]', "- common practice")
    assert parse.parse(text).findings == ()


def test_several_fixes_may_have_to_come_before() -> None:
    notes = Notes()
    entry = frontmatter.read(
        "slug: a\ntitle: b\narea: Audio\nsymptoms: [c]\nfixes:\n"
        "  - {key: x, takes: 1s, disruption: none}\n"
        "  - {key: y, takes: 1s, disruption: none}\n"
        "  - {key: z, takes: 1s, disruption: none, after: [x, y]}\n",
        2,
        notes,
    )
    assert notes.findings == []
    assert [fix.after for fix in entry.fixes] == [(), (), ("x", "y")]


@pytest.mark.parametrize("text", ["", "off", "- a\n- b"])
def test_a_front_matter_that_is_no_table_is_one_finding(text: str) -> None:
    notes = Notes()
    frontmatter.read(text, 2, notes)
    assert [finding.line for finding in notes.findings] == [2]
    assert "slug, title, area, symptoms, fixes" in notes.findings[0].message
