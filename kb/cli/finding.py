"""Ask the search from the terminal: bring the index up to date if it's behind, then look."""

from collections.abc import Mapping

from kb.cli import desk
from kb.errors import StorageError
from kb.records import position
from kb.records.workspace import Workspace
from kb.search import index, narrowing, query
from kb.search.listing import Wish
from kb.search.narrowing import Told
from kb.search.query import Answer

# Another process may be making the index just now.
_TRIES = 3


def ask(place: Workspace, text: str, item: str | None = None, told: Told | None = None) -> Answer:
    """Return what the base holds on what was typed, in the order that fits what was told.

    Args:
        place: The workspace.
        text: What was typed.
        item: Code or name of the thing at hand.
        told: What was answered since; its area is put first.

    Raises:
        NotFoundError: The item is unknown.
        StorageError: The base can't be read, or its index can't be made.
    """
    told = told or Told()
    found = _look(place, text, item, told.area or None)
    if found.missing:
        # One that was found damaged while it was read is made anew at the second look.
        found = _look(place, text, item, told.area or None)
    return narrowing.narrowed(require(place, found), told)


def require(place: Workspace, found: Answer) -> Answer:
    """Return an answer to which the entries were asked.

    Raises:
        StorageError: Their index isn't there, so that 'nothing found' would be a lie.
    """
    if "entries" in found.missing:
        raise StorageError(
            f"The search index in {place.index} can't be made just now: the disk is full or can't "
            "be written, or another process is at it. Look at the disk, or try again.",
            place.index,
        )
    return found


def wish(place: Workspace, item: str | None, area: str | None) -> Wish:
    """Return what the asker wants, with what is known of the item at hand."""
    return Wish(area=area, boost=_boosts(place, item) if item else {})


def freshen(place: Workspace) -> None:
    """Bring the indexes up to date if they're behind; a cold search stops at the question."""
    for _ in range(_TRIES):
        if _is_fresh(place) or _catch_up(place) or index.position(place.index, "entries"):
            return


def _look(place: Workspace, text: str, item: str | None, area: str | None) -> Answer:
    freshen(place)
    with query.opened(place.index) as indexes:
        return query.answer(indexes, text, wish(place, item, area))


def _is_fresh(place: Workspace) -> bool:
    if place.settings.database is not None:
        return False
    newest = position.of_file(place.database)
    have = {index.position(place.index, which) for which in ("entries", "records")}
    return newest is not None and have == {newest.dumps()}


def _catch_up(place: Workspace) -> bool:
    from kb.search import refresh
    from kb.search.sources import Clock

    clock = Clock(desk.now(place), place.settings.hold_days)
    with desk.reading(place) as session:
        return refresh.catch_up(session, place.index, clock)


def _boosts(place: Workspace, item: str) -> Mapping[str, float]:
    from kb.search import context

    with desk.reading(place) as session:
        return context.boosts(session, item)
