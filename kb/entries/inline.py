"""One line of inline Markdown, as HTML and as plain text."""

import re
from collections.abc import Iterable, Iterator
from functools import cache

from markdown_it import MarkdownIt
from markdown_it.token import Token

# A web page by its scheme, or an address within this site: no other scheme, no other host.
_MAY_LEAD = re.compile(r"https?:|(?!//)(?![^/?#]*:)", re.IGNORECASE)


class _Inline(MarkdownIt):
    """CommonMark without HTML and pictures, whose links lead to web pages only."""

    def __init__(self) -> None:
        super().__init__("commonmark", {"html": False})
        self.disable("image")

    def validateLink(self, url: str) -> bool:  # noqa: N802 - the library's name
        """Return whether a link may lead there: to http, https, or a page of this site."""
        return bool(_MAY_LEAD.match(url))


@cache
def _markdown() -> MarkdownIt:
    return _Inline()


def inline_html(text: str) -> str:
    """Return the text as HTML without a block around it."""
    return str(_markdown().renderInline(text))


def inline_text(text: str) -> str:
    """Return the text as somebody reads it: without marks, a link's address behind its words."""
    blocks = _markdown().parseInline(text)
    return "".join(part for block in blocks for part in _plain(block.children or ()))


def _plain(tokens: Iterable[Token]) -> Iterator[str]:
    address = ""
    for token in tokens:
        if token.type == "link_open":
            address = "" if token.info == "auto" else str(token.attrGet("href"))
        elif token.type == "link_close":
            yield f" ({address})" if address else ""
        else:
            yield token.content
