"""Ask the search from the terminal: bring the index up to date if it's behind, then look."""

from collections.abc import Mapping

from kb.cli import desk
from kb.records import position
from kb.records.workspace import Workspace
from kb.search import index, query
from kb.search.listing import Wish
from kb.search.query import Answer


def ask(place: Workspace, text: str, item: str | None = None, area: str | None = None) -> Answer:
    """Return what the base holds on what was typed.

    Args:
        place: The workspace.
        text: What was typed.
        item: Code or name of the thing at hand.
        area: The area to put first.

    Raises:
        NotFoundError: The item is unknown.
        StorageError: The base can't be read.
    """
    freshen(place)
    with query.opened(place.index) as indexes:
        return query.answer(indexes, text, wish(place, item, area))


def wish(place: Workspace, item: str | None, area: str | None) -> Wish:
    """Return what the asker wants, with what is known of the item at hand."""
    return Wish(area=area, boost=_boosts(place, item) if item else {})


def freshen(place: Workspace) -> None:
    """Bring the indexes up to date if they're behind; a cold search stops at the question."""
    if place.settings.database is None:
        newest = position.of_file(place.database)
        have = {index.position(place.index, which) for which in ("entries", "records")}
        if newest is not None and have == {newest.dumps()}:
            return
    from kb.search import refresh
    from kb.search.sources import Clock

    clock = Clock(desk.now(place), place.settings.hold_days)
    with desk.reading(place) as session:
        refresh.catch_up(session, place.index, clock)


def _boosts(place: Workspace, item: str) -> Mapping[str, float]:
    from kb.search import context

    with desk.reading(place) as session:
        return context.boosts(session, item)
