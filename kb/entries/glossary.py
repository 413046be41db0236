"""The glossary: words of the trade that entries use, each with one or two plain sentences.

A file of Markdown without front matter. '## word' opens a word, a paragraph says what it means,
and a paragraph 'Also: other word, third word' names what else the same thing is called.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kb.entries import prose, wording
from kb.entries.inline import inline_text
from kb.entries.model import Entry
from kb.entries.source import Finding

FILE = "glossary.md"
ALSO = "Also:"

_HEADING = "## "
_SENTENCES = 3
_NO_ANCHOR = re.compile(r"[^\w -]")
_LINK = re.compile(r"\]\((?:/entries/)?glossary(?:\.md)?#([^)\s]*)\)")


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the trade.

    Attributes:
        term: As it stands in the heading.
        meaning: What it means, as inline Markdown.
        also: What else the same thing is called.
        line: The line of its heading.
    """

    term: str
    meaning: str
    also: tuple[str, ...]
    line: int

    @property
    def anchor(self) -> str:
        """The name by which an address points at it, as Markdown pages make it of a heading."""
        return _NO_ANCHOR.sub("", self.term.lower()).replace(" ", "-")

    @property
    def forms(self) -> tuple[str, ...]:
        """Everything it's called."""
        return (self.term, *self.also)


def read(text: str) -> tuple[Word, ...]:
    """Return the words of a glossary in the order of its text."""
    return tuple(_word(line, block) for line, block in _blocks(text))


def pattern(forms: Iterable[str]) -> re.Pattern[str]:
    """Return what finds these forms as whole words, a plural's ending among them.

    A form with a capital, like 'UPS', is found as it's written; the others in any case.
    """
    longest = sorted(forms, key=len, reverse=True)
    found = "|".join(
        re.escape(form) if any(map(str.isupper, form)) else f"(?i:{re.escape(form)})"
        for form in longest
    )
    return re.compile(rf"(?<![\w-])({found})(?:s|es)?(?![\w-])")


def find(words: Iterable[Word], typed: str) -> Word | None:
    """Return the word that is called so, in any case, or None."""
    wanted = wording.tidy(typed).casefold()
    return next(
        (word for word in words if wanted in {form.casefold() for form in word.forms}), None
    )


def lint(text: str, entries: Iterable[Entry]) -> tuple[Finding, ...]:
    """Return what is wrong with a glossary, by line.

    Args:
        text: Its text.
        entries: Those that it explains; a word that none of them uses is found.
    """
    words = read(text)
    if not words:
        return (Finding(1, f"no word is explained. Write '{_HEADING}word' and what it means."),)
    found = [*_unwritten(words), *_disordered(words), *_doubled(words), *_unused(words, entries)]
    return tuple(sorted(found))


def lost_links(text: str, anchors: Iterable[str]) -> Iterator[Finding]:
    """Find links of an entry to words that the glossary doesn't have."""
    known = frozenset(anchors)
    for number, line in enumerate(text.split("\n"), start=1):
        for anchor in _LINK.findall(line):
            if anchor not in known:
                yield Finding(number, f"the glossary has no '{anchor}'. Add it, or unlink it.")


def _blocks(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the line of each heading, and the heading with what stands under it."""
    lines = text.split("\n")
    starts = [number for number, line in enumerate(lines) if line.startswith(_HEADING)]
    for start, end in pairwise([*starts, len(lines)]):
        yield start + 1, lines[start:end]


def _word(line: int, block: Sequence[str]) -> Word:
    term = wording.tidy(block[0].removeprefix(_HEADING))
    told = [one for one in block[1:] if one.strip()]
    also = [one.removeprefix(ALSO) for one in told if one.startswith(ALSO)]
    forms = tuple(wording.tidy(form) for one in also for form in one.split(",") if form.strip())
    meaning = wording.tidy(" ".join(one for one in told if not one.startswith(ALSO)))
    return Word(term, meaning, forms, line)


def _unwritten(words: Iterable[Word]) -> Iterator[Finding]:
    for word in words:
        if not word.term:
            yield Finding(word.line, "the heading is empty. Write the word.")
        if not word.meaning:
            yield Finding(word.line, f"nothing says what '{word.term}' means. Write it below.")
        if len(re.findall(r"[.!?](?: |$)", inline_text(word.meaning))) > _SENTENCES:
            message = f"'{word.term}' takes more than {_SENTENCES} sentences. Shorten it."
            yield Finding(word.line, message)


def _disordered(words: Sequence[Word]) -> Iterator[Finding]:
    for before, after in pairwise(words):
        if before.term.casefold() > after.term.casefold():
            message = f"'{after.term}' stands below '{before.term}'. Put it in alphabetical order."
            yield Finding(after.line, message)


def _doubled(words: Iterable[Word]) -> Iterator[Finding]:
    seen: dict[str, int] = {}
    for word in words:
        for form in word.forms:
            first = seen.setdefault(form.casefold(), word.line)
            if first != word.line:
                message = f"'{form}' is explained on line {first} already. Keep one of them."
                yield Finding(word.line, message)


def _unused(words: Iterable[Word], entries: Iterable[Entry]) -> Iterator[Finding]:
    texts = "\n".join(text for entry in entries for text in prose.read_texts(entry))
    for word in words:
        if not pattern(word.forms).search(texts):
            message = f"no entry uses '{word.term}'. Take it out, or write it where it's meant."
            yield Finding(word.line, message)
