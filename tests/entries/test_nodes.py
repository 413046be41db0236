from pathlib import Path

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kb.entries import nodes, wording
from kb.entries.nodes import Listing, Node, Scalar, Table
from kb.entries.source import Notes

LOADERS = sorted({nodes.LOADER, yaml.SafeLoader}, key=str)
SAMPLE = Path(__file__).parent / "sample.md"
LINES = (
    st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=12)
    | st.text("-?:,[]{}#&*!|>'\"%@`\\ a", min_size=1, max_size=6)
    | st.sampled_from(["off", "12:30", "~", "null", "1e3", "2024-01-01", "=", "<<", "...", "---"])
).map(wording.tidy)


def plain(node: Node | None) -> object:
    """Return a node as plain lists, dictionaries and texts."""
    match node:
        case Scalar(text=text):
            return text
        case Listing(items=items):
            return [plain(item) for item in items]
        case Table(pairs=pairs):
            return {name.text: plain(value) for name, value in pairs}
    return None


# PyYAML's BaseLoader is the outside reference: it constructs every scalar as text.
def test_the_sample_reads_as_yaml_without_types_reads_it() -> None:
    text = SAMPLE.read_text(encoding="utf-8").split("---\n")[1]
    notes = Notes()
    assert plain(nodes.read(text, 2, notes)) == yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - it makes texts only
    assert notes.findings == []


@pytest.mark.parametrize("loader", LOADERS)
@given(texts=st.lists(LINES, min_size=1, max_size=3, unique=True))
@example(texts=["-", "?", ":", "a:", "a: b", "a #b", "#", "'", '"', "\\", ""])
@settings(max_examples=60)
def test_a_quoted_text_comes_back_from_a_list_a_row_and_a_table(
    loader: type[yaml.SafeLoader], texts: list[str]
) -> None:
    block = "\n".join(f"  - {nodes.quoted(text, flow=False)}" for text in texts)
    flow = [nodes.quoted(text, flow=True) for text in texts]
    table = ", ".join(f"{text}: {text}" for text in flow)
    document = f"a:\n{block}\nb: [{', '.join(flow)}]\nc: {{{table}}}\n"
    expected = {"a": texts, "b": texts, "c": dict(zip(texts, texts, strict=True))}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nodes, "LOADER", loader)
        notes = Notes()
        assert plain(nodes.read(document, 1, notes)) == expected
    assert notes.findings == []
    assert yaml.load(document, Loader=yaml.BaseLoader) == expected  # noqa: S506 - it makes texts only


@pytest.mark.parametrize(
    "text", ["off", "12:30", "~", "-48 V", "plug's lamp", 'he said "no"', "50 %", "a,b", "#3 no"]
)
def test_a_text_is_quoted_only_where_yaml_needs_it(text: str) -> None:
    assert nodes.quoted(text, flow=False) == (f'"{text}"' if text.startswith("#") else text)


@pytest.mark.parametrize("text", ["a, b", "why?", "[x]", "{y}", ":z"])
def test_a_row_needs_more_quotes_than_a_line_of_its_own(text: str) -> None:
    assert nodes.quoted(text, flow=True) == f'"{text}"'
    assert nodes.quoted(f"a{text}", flow=False) == f"a{text}"


BROKEN = [
    ("a: b: c", 1, "no YAML"),
    ("a: b\nc: [d", 2, "no YAML"),
    ("a: b\na: c", 2, "'a' comes twice"),
    ("a: {b: c, b: d}", 1, "'b' comes twice"),
    ("a: &x b", 1, "'&' opens a mark"),
    ("a: &x b\nc: *x", 2, "'*' opens a reference"),
    ("a: !!int 3", 1, "'!' opens a tag"),
    ("a: ! 3", 1, "'!' opens a tag"),
    ("a: |\n  b", 1, "many lines"),
    ("a: >-\n  b", 1, "many lines"),
    ("# first\na: b", 1, "remark"),
    ('a: "b # c"\nd: plug # 3', 2, "remark"),
    ("a: \U0001f3a7\nb: c #d", 2, "remark"),
    ('a: b\nc: "d\\e"', 2, "U+001B"),
    ('a: "\\u202e"', 1, "U+202E"),
    ("[a]: b", 1, "a name must be a text"),
    ("a: b\n" + "c: " + "[" * 7 + "d" + "]" * 7, 2, "too deep"),
    ("a: b\n--- c\n", 2, "second text"),
]


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize(("text", "line", "message"), BROKEN)
def test_what_entries_do_without_is_found_on_its_line(
    loader: type[yaml.SafeLoader],
    monkeypatch: pytest.MonkeyPatch,
    text: str,
    line: int,
    message: str,
) -> None:
    monkeypatch.setattr(nodes, "LOADER", loader)
    notes = Notes()
    nodes.read(text, 11, notes)
    assert [found.line - 10 for found in notes.findings if message in found.message] == [line]


def test_nested_lists_without_end_are_a_finding() -> None:
    notes = Notes()
    nodes.read("a: " + "[" * 900 + "]" * 900, 1, notes)
    assert [found.line for found in notes.findings] == [1]


def test_nothing_is_nothing() -> None:
    assert nodes.read("", 1, Notes()) is None
