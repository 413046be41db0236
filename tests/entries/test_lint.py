import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.entries import lint

Edit = Callable[[str, str], str]
LineOf = Callable[[str, str], int]

HERE = Path(__file__).parent
SHIPPED = sorted((HERE.parents[1] / "entries").glob("*-*.md"))
AREAS = tomllib.loads((HERE / "topics.toml").read_text(encoding="utf-8"))
SLUGS = frozenset(slug for slugs in AREAS.values() for slug in slugs)
KNOWN = frozenset({"lamp-dark", "lamp-wrong"})


def test_the_sample_breaks_no_rule(sample: str) -> None:
    assert lint.lint(sample, KNOWN) == ()


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_entry_breaks_no_rule(path: Path) -> None:
    assert lint.lint(path.read_bytes().decode(), SLUGS) == ()


def test_a_text_that_cannot_be_read_is_told_as_such(edited: Edit) -> None:
    findings = lint.lint(edited("takes: 20s", "takes: soon"), KNOWN)
    assert [str(finding)[:38] for finding in findings] == [
        "line 26: 'soon' is no duration. Write "
    ]


FORM = [
    ("takes: 20s", "takes:  20s", "  - {key: push", "the house writes this line so:"),
    ("takes: 90s", "takes: 120s", "  - {key: wait", "takes: 2min, disruption"),
    ("title: Signal lamp of the desk stays dark", 'title: "Signal lamp"', "title", "Signal lamp'"),
    ("2. Push it in.", "3. Push it in.", "3. Push", "'2. Push it in.'"),
    ("- Tag the unit.\n-", "* Tag the unit.\n*", "* Tag", "'- Tag the unit.'"),
    ("\n\n- Tag", "\n- Tag", "- Tag", "the house writes this line so: ''"),
    ("Half of", "Half  of", "Half", "'Half of these are a plug"),
    ("- off\n", '- "off"\n', '  - "off"', "'  - off'"),
]


@pytest.mark.parametrize(("old", "new", "part", "message"), FORM)
def test_the_first_line_out_of_house_form_is_shown_as_it_should_be(
    edited: Edit, line_of: LineOf, old: str, new: str, part: str, message: str
) -> None:
    text = edited(old, new)
    (finding,) = lint.lint(text, KNOWN)
    assert message in finding.message
    assert finding.line == line_of(text, part)


@pytest.mark.parametrize(
    ("tail", "line", "message"),
    [
        ("\n\n", 1, "the file goes on where it should end"),
        ("", 0, "the file stops here. End it in one line feed"),
    ],
)
def test_a_file_ends_in_one_line_feed(sample: str, tail: str, line: int, message: str) -> None:
    (finding,) = lint.lint(sample.rstrip("\n") + tail, KNOWN)
    assert message in finding.message
    assert finding.line == len(sample.splitlines()) + 1 + line


def test_lines_that_end_in_a_carriage_return_are_one_finding(sample: str) -> None:
    (finding,) = lint.lint(sample.replace("\n", "\r\n"), KNOWN)
    assert finding.line == 1
    assert "carriage return" in finding.message


def test_findings_come_in_the_order_of_lines(sample: str) -> None:
    text = re.sub(r"  - (?!\{).*\n", "", sample).replace("symptoms:", "symptoms:\n  - a")
    lines = [finding.line for finding in lint.lint(text.replace("[lamp-wrong]", "[b]"), KNOWN)]
    assert lines == sorted(lines)
    assert len(lines) == 3


@pytest.mark.parametrize("rule", lint.RULES, ids=lambda rule: rule.__name__)
def test_every_rule_says_what_it_finds(rule: Callable[..., object]) -> None:
    assert (rule.__doc__ or "").startswith("Find")
