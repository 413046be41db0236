"""What is indexed of the records: entries, items in use and the newest faults, as documents.

An entry tells its fixes and the evidence behind each, so that a cold search needs nothing else.
A change of a model, a place or an attempt leads to the documents that tell of it, and so does a
new name of an item, or its merging with another.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, and_, col, or_, select

from kb.entries import evidence, library
from kb.records.kinds import EntryStatus, ItemState
from kb.records.tables.entries import Entry, EntryRevision, OwnWord
from kb.records.tables.faults import STANDS, Attempt, Fault
from kb.records.tables.gear import Code, Item, Model, Place
from kb.records.tables.journal import History
from kb.search import learned, shapes
from kb.search.documents import Document, Which

NEWEST_FAULTS = 20_000
# More changed records or documents than this are read like those of a new index.
MANY = 2_000
_BATCH = 5_000
_NEWEST_FIRST = (col(Fault.noticed_at).desc(), col(Fault.id).desc())
Changed = Collection[tuple[str, int]]


@dataclass(frozen=True)
class Clock:
    """What the evidence depends on: the time now, and for how many days a fix must hold."""

    now: datetime
    hold_days: int


def everything(session: Session, which: Which, clock: Clock) -> Iterator[Document]:
    """Yield every document of an index, faults from the newest on."""
    if which == "entries":
        keys = session.scalars(select(Entry.id).where(Entry.status == EntryStatus.ACCEPTED))
        yield from _entries(session, {key for key in keys if key is not None}, clock)
        yield from _own_words(session, None)
        return
    yield from _items(session, None)
    yield from _faults(session, None)


def changed(
    session: Session, which: Which, feed: Changed, clock: Clock
) -> tuple[list[Document], list[tuple[str, str]]] | None:
    """Return the documents to write anew, and kind and key of those that are no more.

    Args:
        session: The unit of work.
        which: The index.
        feed: The changed records, as (table, key).
        clock: What the evidence depends on.

    Returns:
        None where so many documents tell of what changed that all are better read anew.
    """
    if which == "entries":
        return _changed_entries(session, feed, clock)
    places = _below(session, _of(feed, "place"))
    items = _touched_items(session, feed, places)
    faults = _touched_faults(session, feed, places)
    if max(len(items), len(faults)) > MANY:
        return None
    edge = _edge(session, len(faults))
    documents = [*_items(session, items), *_faults(session, faults | edge.within, edge.oldest)]
    there = {(one.kind, one.key) for one in documents}
    codes = session.scalars(select(Item.code).where(col(Item.id).in_(items)))
    named = [("item", code) for code in codes]
    named += [("fault", str(key)) for key in faults | edge.beyond]
    return documents, [pair for pair in named if pair not in there]


def _changed_entries(
    session: Session, feed: Changed, clock: Clock
) -> tuple[list[Document], list[tuple[str, str]]]:
    keys = _touched_entries(session, feed)
    rows = session.execute(
        select(Entry.id, Entry.slug, Entry.status).where(col(Entry.id).in_(keys))
    )
    found = {key: (slug, status) for key, slug, status in rows if key is not None}
    wanted = {key for key, (_slug, status) in found.items() if status == EntryStatus.ACCEPTED}
    gone = [("entry", slug) for key, (slug, _status) in found.items() if key not in wanted]
    own = _of(feed, "own_word")
    words = list(_own_words(session, own))
    gone += [("word", str(key)) for key in own if str(key) not in {word.key for word in words}]
    return [*_entries(session, wanted, clock), *words], gone


def _of(feed: Changed, kind: str) -> set[int]:
    return {key for table, key in feed if table == kind}


def _touched_entries(session: Session, feed: Changed) -> set[int]:
    """Return the entries whose text or evidence a change may touch."""
    revised = session.scalars(
        select(EntryRevision.entry_id).where(
            col(EntryRevision.id).in_(_of(feed, "entry_revision"))
        )
    )
    keys = _of(feed, "entry") | set(revised)
    # A fault that was given another entry takes its evidence away from the one before.
    for kind, table in (("fault", Fault), ("attempt", Attempt)):
        touched = _of(feed, kind)
        now = session.scalars(select(table.entry_id).where(col(table.id).in_(touched)))
        then = session.scalars(
            select(History.changes).where(
                History.kind == kind, col(History.record_id).in_(touched)
            ),
        )
        keys |= {key for key in now if key is not None}
        keys |= {key for change in then for key in change.get("entry_id", ()) if key is not None}
    tried = session.scalars(
        select(Attempt.entry_id).where(col(Attempt.fault_id).in_(_of(feed, "fault")))
    )
    return keys | {key for key in tried if key is not None}


def _touched_items(session: Session, feed: Changed, places: set[int]) -> set[int]:
    """Return the items whose document a change may touch."""
    mine = _of(feed, "item")
    found = session.scalars(
        select(Item.id)
        .where(col(Item.model_id).in_(_of(feed, "model")) | col(Item.place_id).in_(places))
        .limit(MANY + 1)
    )
    heirs = session.scalars(select(Item.merged_into_id).where(col(Item.id).in_(mine)))
    return mine | {key for key in (*found, *heirs) if key is not None}


def _touched_faults(session: Session, feed: Changed, places: set[int]) -> set[int]:
    """Return the faults whose document a change may touch."""
    steps = session.execute(
        select(History.record_id, History.changes).where(
            History.kind == "item", col(History.record_id).in_(_of(feed, "item"))
        )
    )
    renamed = {item for item, changes in steps if changes.get("name", (None,))[0] is not None}
    found = session.scalars(
        select(Fault.id)
        .where(col(Fault.seen_item_id).in_(renamed) | col(Fault.seen_place_id).in_(places))
        .limit(MANY + 1)
    )
    return _of(feed, "fault") | {key for key in found if key is not None}


def _below(session: Session, places: set[int]) -> set[int]:
    """Return places and all that lie in them: their paths tell of them."""
    if not places:
        return places
    rows = session.execute(select(Place.id, Place.parent_id))
    above = {key: up for key, up in rows if key is not None}
    found = set(places)
    while more := {key for key, up in above.items() if up in found} - found:
        found |= more
    return found


def _entries(session: Session, keys: set[int], clock: Clock) -> Iterator[Document]:
    behind = evidence.of_entries(session, keys, clock.now, clock.hold_days)
    reported = learned.of_entries(session, keys)
    for key, text in library.texts(session, tuple(keys)).items():
        yield shapes.of_entry(text, behind.get(key, {}), reported.get(key, ()))


def _own_words(session: Session, keys: set[int] | None) -> Iterator[Document]:
    """Yield the crew's own words; of the keys, or all."""
    query = select(OwnWord).where(col(OwnWord.removed_at).is_(None))
    if keys is not None:
        query = query.where(col(OwnWord.id).in_(keys))
    for own in session.scalars(query):
        yield shapes.of_word(own.key, own.word, own.means)


def _items(session: Session, keys: set[int] | None) -> Iterator[Document]:
    """Yield items in use; of the keys, or all."""
    models = {one.key: one for one in session.scalars(select(Model))}
    paths = _paths(session)
    codes = _codes(session, keys)
    query = select(Item).where(Item.state != ItemState.RETIRED)
    if keys is not None:
        query = query.where(col(Item.id).in_(keys))
    for item in session.scalars(query.execution_options(yield_per=_BATCH)):
        yield shapes.of_item(
            item,
            models.get(item.model_id or 0),
            paths.get(item.place_id or 0, ""),
            codes.get(item.key, (item.code,)),
        )


def _faults(
    session: Session, keys: set[int] | None, oldest: tuple[datetime, int] | None = None
) -> Iterator[Document]:
    """Yield the newest faults; of them those of the keys where keys are given.

    Args:
        session: The unit of work.
        keys: Which are wanted; all by default.
        oldest: When the oldest of the newest was noticed, and its number; None for any.
    """
    query = (
        select(Fault, Item.name, Item.code, Entry.slug)
        .outerjoin(Item, col(Fault.seen_item_id) == Item.id)
        .outerjoin(Entry, col(Fault.entry_id) == Entry.id)
        .where(STANDS)
        .order_by(*_NEWEST_FIRST)
        .limit(NEWEST_FAULTS)
    )
    if keys is not None:
        query = query.where(col(Fault.id).in_(keys))
    if oldest is not None:
        noticed, number = oldest
        as_old = and_(Fault.noticed_at == noticed, col(Fault.id) >= number)
        query = query.where(or_(Fault.noticed_at > noticed, as_old))
    paths = _paths(session)
    for fault, name, code, slug in session.execute(query.execution_options(yield_per=_BATCH)):
        place = paths.get(fault.seen_place_id or 0, "")
        yield shapes.of_fault(fault, name or "", code or "", slug or "", place)


@dataclass(frozen=True)
class _Edge:
    """The faults on both sides of the oldest that the index holds."""

    within: set[int]
    beyond: set[int]
    oldest: tuple[datetime, int] | None


def _edge(session: Session, changed: int) -> _Edge:
    """Return what may have come in, or gone out, where so many faults changed."""
    start = max(0, NEWEST_FAULTS - changed)
    room = NEWEST_FAULTS - start
    found = session.execute(
        select(Fault.id, Fault.noticed_at)
        .where(STANDS)
        .order_by(*_NEWEST_FIRST)
        .offset(start)
        .limit(room + changed)
    ).all()
    keys = [key for key, _noticed in found if key is not None]
    oldest = (found[room - 1][1], keys[room - 1]) if 0 < room <= len(found) else None
    return _Edge(set(keys[:room]), set(keys[room:]), oldest)


def _codes(session: Session, keys: set[int] | None) -> dict[int, tuple[str, ...]]:
    """Return item -> every code that leads to it."""
    query = select(Code.item_id, Code.code).where(col(Code.item_id).is_not(None))
    if keys is not None:
        query = query.where(col(Code.item_id).in_(keys))
    found: dict[int, tuple[str, ...]] = {}
    for item, code in session.execute(query):
        found[item] = (*found.get(item, ()), code)
    return found


def _paths(session: Session) -> dict[int, str]:
    """Return place -> its path from the top, in one query."""
    rows = {
        key: (name, above)
        for key, name, above in session.execute(select(Place.id, Place.name, Place.parent_id))
    }

    def path(key: int | None) -> str:
        if key is None or key not in rows:
            return ""
        name, above = rows[key]
        return f"{path(above)}/{name}" if above is not None else str(name)

    return {key: path(key) for key in rows if key is not None}
