"""What opened indexes know of words: which are in use, what the crew says, what means the same."""

from collections.abc import Callable, Collection, Iterable, Sequence
from functools import cached_property

from kb.search import analysis, spelling, thesaurus
from kb.search.asking import Knowledge
from kb.search.reading import Reader, Text
from kb.search.spelling import Lexicon, Reading


class Known:
    """The knowledge that some opened indexes hold, read on first use and kept with them."""

    def __init__(self, entries: Reader, texts: Callable[[], Sequence[Text]]) -> None:
        """Take what it is read from.

        Args:
            entries: The index of entries.
            texts: Return every text in whose words nothing is to be corrected.
        """
        self._entries = entries
        self._texts = texts

    @cached_property
    def lexicon(self) -> Lexicon:
        """The words of entries and thesaurus."""
        keys = {**thesaurus.shipped().words, **self._entries.words()}
        sounding: dict[str, list[str]] = {}
        for word, key in keys.items():
            sounding.setdefault(key, []).append(word)
        return Lexicon(keys, sounding, self._count, lambda word: word in keys or self._holds(word))

    def knowledge(self, undo: Collection[str]) -> Knowledge:
        """Return what a query is read with.

        Args:
            undo: What is not to be read as anything else.
        """
        return Knowledge(self._read, thesaurus.shipped(), self._entries.crew_words, undo)

    def _read(self, words: Sequence[str]) -> Iterable[Reading]:
        return spelling.readings(words, self.lexicon)

    def _count(self, word: str) -> int:
        text = self._entries.text("entry")
        return max((text.frequency(term) for term in analysis.terms(word)), default=text.count)

    def _holds(self, word: str) -> bool:
        terms = analysis.terms(word)
        return any(text.frequency(term) for text in self._texts() for term in terms)
