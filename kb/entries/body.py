"""The body of an entry: from Markdown to sections; whatever has no place there is noted."""

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from kb.entries import wording
from kb.entries.fields import LINE_LIMIT
from kb.entries.model import Section
from kb.entries.source import Notes
from kb.entries.words import AFTERWARDS, CAUTION, FIRST_ACTS, SEE, STOP

PARAGRAPH_LIMIT = 2_000

_KEYED = re.compile(r"(.*?) ?\{#([^{}]*)\}")
_FORCED_BREAK = re.compile(r"(?:\\|  )\n")
_ORDER = f"Under a heading stand '> {CAUTION} ...', the steps, '{SEE} ...' and '{STOP} ...'."


@dataclass(frozen=True, slots=True)
class Part:
    """A heading with what stands under it.

    Attributes:
        key: The key in braces; empty for the two sections that have none.
        title: The heading without its key.
        line: The line of the heading.
        section: What stands under it.
    """

    key: str
    title: str
    line: int
    section: Section


@dataclass(frozen=True, slots=True)
class Body:
    """What stands below the front matter.

    Attributes:
        about: The paragraphs before the first heading.
        parts: The headings in order.
    """

    about: tuple[str, ...]
    parts: tuple[Part, ...]


@cache
def _markdown() -> MarkdownIt:
    """Return CommonMark's block reader, without HTML and link definitions."""
    reader = MarkdownIt("commonmark", {"html": False})
    return reader.disable(["reference", "html_block", "inline", "text_join"])


def read(text: str, first_line: int, notes: Notes) -> Body:
    """Return the sections of the body.

    Args:
        text: Markdown.
        first_line: The file's line on which it begins.
        notes: Takes the findings and the lines.
    """
    return _Reader(first_line, notes).body(SyntaxTreeNode(_markdown().parse(text)).children)


class _Reader:
    """Sorts the blocks of one body."""

    def __init__(self, first_line: int, notes: Notes) -> None:
        self._first_line = first_line
        self._notes = notes

    def body(self, blocks: list[SyntaxTreeNode]) -> Body:
        """Return what the blocks hold."""
        starts = [i for i, block in enumerate(blocks) if block.type == "heading"]
        about = self._about(blocks[: starts[0] if starts else None])
        parts = [
            self._part(blocks[start], blocks[start + 1 : end])
            for start, end in pairwise([*starts, len(blocks)])
        ]
        return Body(about, tuple(parts))

    def _about(self, blocks: list[SyntaxTreeNode]) -> tuple[str, ...]:
        paragraphs: list[str] = []
        for block in blocks:
            if block.type == "paragraph":
                self._notes.lines["about", len(paragraphs)] = self._line(block)
                paragraphs.append(self._text(block))
            else:
                mend = "Only plain paragraphs stand above the first heading. Move or rewrite it."
                self._find(block, f"{_named(block)} has no place here. {mend}")
        return tuple(paragraphs)

    def _part(self, heading: SyntaxTreeNode, blocks: list[SyntaxTreeNode]) -> Part:
        content = self._text(heading)
        if heading.markup != "##":
            self._find(heading, "headings are of the second rank. Write '## ' before the title.")
        found = _KEYED.fullmatch(content)
        title, key = (found[1], found[2]) if found else (content, "")
        line = self._notes.lines["body", key or title] = self._line(heading)
        if len(title) > LINE_LIMIT:
            self._find(heading, f"the heading is too long: {LINE_LIMIT} characters fit.")
        if not found and content not in (FIRST_ACTS, AFTERWARDS):
            mend = f"Write '## {content} {{#key}}', or '{FIRST_ACTS}', or '{AFTERWARDS}'."
            self._find(heading, f"the heading carries no key. {mend}")
        if found and not title:
            self._find(heading, "the heading has no title. Write one before the key.")
        return Part(key, title, line, self._section(key or title, blocks))

    def _section(self, name: str, blocks: list[SyntaxTreeNode]) -> Section:
        cautions: list[str] = []
        steps: list[str] = []
        closing: dict[str, str] = {}
        for block in blocks:
            if block.type == "blockquote":
                cautions += self._cautions(block)
            elif block.type in ("ordered_list", "bullet_list"):
                if steps:
                    self._find(block, "a second list under one heading. Make it one list.")
                steps += self._steps(block, name)
            elif block.type == "paragraph":
                self._closing(block, closing)
            else:
                self._find(block, f"{_named(block)} has no place here. {_ORDER} Rewrite it.")
        return Section(tuple(cautions), tuple(steps), closing.get(SEE, ""), closing.get(STOP, ""))

    def _cautions(self, quote: SyntaxTreeNode) -> list[str]:
        cautions = []
        for block in quote.children:
            text = self._text(block) if block.type == "paragraph" else ""
            if text.startswith(CAUTION) and text != CAUTION:
                cautions.append(text.removeprefix(CAUTION))
            else:
                self._find(block, f"a quote that is no caution. Write '> {CAUTION} ...'.")
        return cautions

    def _steps(self, listing: SyntaxTreeNode, name: str) -> list[str]:
        steps: list[str] = []
        for item in listing.children:
            first = item.children[0] if item.children else None
            if first is None or first.type != "paragraph":
                self._find(item, "the list item is no line of text. Write what to do.")
                continue
            for block in item.children[1:]:
                self._find(block, f"{_named(block)} within a step. Make it a step of its own.")
            self._notes.lines["body", name, len(steps)] = self._line(item)
            steps.append(self._text(first))
        return steps

    def _closing(self, block: SyntaxTreeNode, closing: dict[str, str]) -> None:
        """Take a paragraph that tells what to see or when to stop."""
        text = self._text(block)
        opening = next((word for word in (SEE, STOP) if text.startswith(word)), None)
        if opening is None:
            self._find(block, f"this paragraph has no place here. {_ORDER} Make it one of them.")
        elif opening in closing:
            self._find(block, f"a second '{opening}' under one heading. Make it one.")
        elif text == opening:
            self._find(block, f"nothing stands behind '{opening}'. Write it.")
        else:
            closing[opening] = text.removeprefix(opening)

    def _text(self, block: SyntaxTreeNode) -> str:
        """Return a block's text on one line; what would be lost by that is noted."""
        content = block.children[0].content if block.children else ""
        first, *later = content.split("\n")
        for number, line in enumerate(later, start=self._line(block) + 1):
            if line.startswith((CAUTION, SEE, STOP)):
                self._notes.find(number, "it clings to the line above. Put a blank line between.")
        if later and _FORCED_BREAK.search(content):
            self._find(block, "a forced line break has no place. Write it on one line.")
        if len(content) > PARAGRAPH_LIMIT:
            mend = f"{PARAGRAPH_LIMIT:,} fit. Shorten it, or split it."
            self._find(block, f"{len(content):,} characters are too many: {mend}")
        return wording.tidy(content) if later else first

    def _line(self, block: SyntaxTreeNode) -> int:
        return self._first_line + (block.map[0] if block.map else 0)

    def _find(self, block: SyntaxTreeNode, message: str) -> None:
        self._notes.find(self._line(block), message)


def _named(block: SyntaxTreeNode) -> str:
    """Return what a block is, in words."""
    known = {
        "blockquote": "a quote",
        "bullet_list": "a list",
        "ordered_list": "a numbered list",
        "fence": "a block of code",
        "code_block": "an indented block",
        "hr": "a line of dashes",
        "heading": "a heading",
        "paragraph": "a second paragraph",
    }
    return known.get(block.type, block.type)
