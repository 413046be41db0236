"""The differences between an entry's revisions, told in words and not in colours alone."""

import difflib
from collections.abc import Iterator, Sequence
from zoneinfo import ZoneInfo

from kb.entries.library import Revision
from kb.web.shown_entries import Turn

_WORDS = {"-": "was", "+": "is now"}


def turns(found: Sequence[Revision], zone: ZoneInfo) -> tuple[Turn, ...]:
    """Return what each revision changed, the newest first."""
    texts = ["", *(one.text for one in found)]
    told = (
        Turn(
            number=one.number,
            when=f"{one.at.astimezone(zone):%Y-%m-%d %H:%M}",
            by=one.by,
            why=one.note or "",
            lines=tuple(_changed(before, one.text)) if before else (),
        )
        for before, one in zip(texts, found, strict=False)
    )
    return tuple(reversed(list(told)))


def _changed(before: str, after: str) -> Iterator[tuple[str, str]]:
    """Yield each line that is gone or new, as ('was' or 'is now', line)."""
    for line in difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm=""):
        if line[:1] in _WORDS and not line.startswith(("---", "+++")):
            yield _WORDS[line[0]], line[1:]
