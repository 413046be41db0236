import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from kb.entries import wording

CASES = [
    ("2. Press it", r"2\. Press it"),
    ("123456789) then", r"123456789\) then"),
    ("1234567890. no list has ten digits", "1234567890. no list has ten digits"),
    ("2.", r"2\."),
    ("2.5 m of lead", "2.5 m of lead"),
    ("# 3 is dead", r"\# 3 is dead"),
    ("#3 is dead", "#3 is dead"),
    ("> 30 dB", r"\> 30 dB"),
    ("- then", r"\- then"),
    ("-48 V", "-48 V"),
    ("--", r"\--"),
    ("* * *", r"\* * *"),
    ("**", "**"),
    ("***", r"\***"),
    ("**now**", "**now**"),
    ("___", r"\___"),
    ("```", r"\```"),
    ("````", r"\````"),
    ("```` a", r"\```` a"),
    ("```code``` first", "```code``` first"),
    ("~~~", r"\~~~"),
    ("[1]: see there", r"\[1]: see there"),
    ("[x] done", "[x] done"),
    ("Press it", "Press it"),
    ("\\", "\\"),
]
AWKWARD = st.text("\\#>*+-_`~[]:.)1 aé\u00a0\U0001f3a7", max_size=9)


@pytest.mark.parametrize(("text", "written"), CASES)
def test_a_text_that_opens_a_block_gets_a_backslash(text: str, written: str) -> None:
    assert wording.guarded(text) == written
    assert wording.tidy_inline(written) == text


@pytest.mark.parametrize(
    ("text", "tidied"),
    [
        ("  a \t b\u00a0\u2003c\r\n", "a b c"),
        ("e\u0301", "\u00e9"),
        ("\\# a", "\\# a"),
        ("\u037e", ";"),
    ],
)
def test_white_space_is_folded_and_letters_are_composed(text: str, tidied: str) -> None:
    assert wording.tidy(text) == tidied


# The other side is markdown-it's whole CommonMark, not the cut-down reader of the product.
@pytest.mark.parametrize("mark", ["1. ", "- ", ""])
@given(text=AWKWARD.map(wording.tidy_inline).filter(bool))
@example("--")
@example("_ _ _")
@settings(max_examples=150)
def test_commonmark_reads_a_guarded_text_as_one_paragraph(mark: str, text: str) -> None:
    environment: dict[str, object] = {}
    tokens = MarkdownIt("commonmark").parse(mark + wording.guarded(text), environment)
    node = SyntaxTreeNode(tokens)
    while node.type not in ("paragraph", "inline"):
        assert len(node.children) == 1
        node = node.children[0]
    assert node.children[0].content == wording.guarded(text)
    assert not environment.get("references")


@given(AWKWARD)
def test_tidying_twice_is_tidying_once(text: str) -> None:
    once = wording.tidy_inline(text)
    assert wording.tidy_inline(wording.guarded(once)) == once
    assert wording.tidy(wording.tidy(text)) == wording.tidy(text)


@pytest.mark.parametrize("character", ["\x00", "\x1b", "\x85", "\u202e", "\ufeff", "\ud800"])
def test_controls_are_refused(character: str) -> None:
    assert wording.refused_character(f"ab{character}c") == character


def test_letters_signs_and_joined_pictures_are_not_refused() -> None:
    assert wording.refused_character("\t\n aé漢\U0001f468\u200d\U0001f3a4") is None
