"""Why something was found: the words of the query that it answers, and by what."""

from collections.abc import Collection, Iterator

from kb.search.asking import Asked


def why(asked: Asked, matched: Collection[str], name: str | None = None) -> tuple[str, ...]:
    """Return the words of a query that something was found by.

    A word stands as it was typed; after '→' what it was read as, after '=' what it means.

    Args:
        asked: The query.
        matched: The terms, of words and of meanings, that what was found holds.
        name: The words that call it by name.
    """
    found = [name] if name is not None else []
    return tuple(dict.fromkeys([*found, *_words(asked, matched), *_meanings(asked, matched)]))


def _words(asked: Asked, matched: Collection[str]) -> Iterator[str]:
    read = {each.typed: each.read for each in asked.corrections}
    for word in asked.words:
        if any(term in matched for term in word.terms):
            typed = word.surface
            yield f"{typed} → {' / '.join(read[typed])}" if typed in read else typed


def _meanings(asked: Asked, matched: Collection[str]) -> Iterator[str]:
    """Yield what is held only in other words."""
    told = {word.surface for word in asked.words if any(term in matched for term in word.terms)}
    for name, typed in asked.said.items():
        if name in matched and not told.issuperset(typed.split(" ")) and typed not in told:
            called = asked.called[name]
            yield typed if called == typed else f"{typed} = {called}"
