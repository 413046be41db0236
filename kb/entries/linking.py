"""An entry whose words of the trade lead to the glossary: the first time each is read."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from kb.entries import glossary
from kb.entries.glossary import Word
from kb.entries.model import Entry, Section

# What stays as it is: code, links and their words, addresses in angle brackets, escaped marks.
_KEPT = re.compile(r"(`+.*?`+|!?\[[^]]*\]\([^)]*\)|<[^<>]*>|\\.)")


@dataclass(slots=True)
class _Linker:
    """Links each word once, in the order in which texts are handed to it."""

    pattern: re.Pattern[str]
    anchors: dict[str, str]
    address: str
    seen: set[str] = field(default_factory=set)

    def text(self, text: str) -> str:
        """Return inline Markdown with the words that weren't read before as links."""
        parts = _KEPT.split(text)
        parts[::2] = [self.pattern.sub(self._link, part) for part in parts[::2]]
        return "".join(parts)

    def section(self, section: Section) -> Section:
        """Return a section with its words linked, in the order in which it is read."""
        return Section(
            cautions=tuple(map(self.text, section.cautions)),
            steps=tuple(map(self.text, section.steps)),
            see=self.text(section.see),
            stop=self.text(section.stop),
        )

    def _link(self, found: re.Match[str]) -> str:
        anchor = self.anchors[found[1].casefold()]
        if anchor in self.seen:
            return found[0]
        self.seen.add(anchor)
        return f"[{found[0]}]({self.address}#{anchor})"


@lru_cache(maxsize=512)
def linked(entry: Entry, words: tuple[Word, ...], address: str) -> Entry:
    """Return the entry with each word of the glossary linked where it's read first.

    Args:
        entry: The entry; its titles, symptoms and questions stay plain.
        words: The glossary.
        address: Where the glossary is read.
    """
    if not words:
        return entry
    linker = _linker(words, address)
    return replace(
        entry,
        first_acts=linker.section(entry.first_acts),
        about=tuple(map(linker.text, entry.about)),
        fixes=tuple(replace(fix, section=linker.section(fix.section)) for fix in entry.fixes),
        swap=entry.swap and replace(entry.swap, section=linker.section(entry.swap.section)),
        afterwards=linker.section(entry.afterwards),
    )


def _linker(words: Sequence[Word], address: str) -> _Linker:
    anchors = {form.casefold(): word.anchor for word in words for form in word.forms}
    return _Linker(
        glossary.pattern(form for word in words for form in word.forms), anchors, address
    )
