import re
from html.parser import HTMLParser

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kb.entries import inline


@pytest.mark.parametrize(
    ("text", "html", "plain"),
    [
        ("a & b <c>", "a &amp; b &lt;c&gt;", "a & b <c>"),
        ("*now* and `F 1`", "<em>now</em> and <code>F 1</code>", "now and F 1"),
        (r"\# 3", "# 3", "# 3"),
        ("# 3", "# 3", "# 3"),
        ("[a](b/c)", '<a href="b/c">a</a>', "a (b/c)"),
        (
            "<https://a.example>",
            '<a href="https://a.example">https://a.example</a>',
            "https://a.example",
        ),
        ("[a](HTTP://b)", '<a href="HTTP://b">a</a>', "a (HTTP://b)"),
        ("[a](?q=x:y)", '<a href="?q=x:y">a</a>', "a (?q=x:y)"),
    ],
)
def test_a_line_is_shown_as_html_and_as_plain_text(text: str, html: str, plain: str) -> None:
    assert inline.inline_html(text) == html
    assert inline.inline_text(text) == plain


@pytest.mark.parametrize(
    "address",
    [
        "javascript:x", "JavaScript:x", "java&#115;cript:x", "data:text/html,x", "vbscript:x",
        "mailto:a@b", "file:///a", "//other.example", "ftp://a",
    ],
)  # fmt: skip
def test_a_link_leads_to_web_pages_only(address: str) -> None:
    assert "<a" not in inline.inline_html(f"[go]({address})")


class _Tags(HTMLParser):
    """Collects the tags and links of a piece of HTML."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag in ("em", "strong", "code", "a")
        assert [name for name, _value in attrs if name not in ("href", "title")] == []
        for name, value in attrs:
            if name == "href":
                assert re.match(r"https?:|[^:]*([/?#]|$)", value or "", re.IGNORECASE)
        self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


PIECES = ["<b>", "<script>", "</a>", "[", "](", ")", "javascript:", "//x", "!", "`", "*", "**"]
PIECES += ['"', "'", "&lt;", "&#58;", "<http:", ">", "\\", " ", "a", "onclick=", "#", ":"]


# The outside reference is the standard library's HTML parser.
@given(st.lists(st.sampled_from(PIECES), max_size=10).map("".join))
@example('[a](b "c<d>")')
@settings(max_examples=150)
def test_no_text_brings_its_own_html(text: str) -> None:
    tags = _Tags()
    tags.feed(inline.inline_html(text))
    tags.close()
    assert tags.open == []
