"""What hangs on an item, as chains that are read in one go: up to the next switcher or mixer.

Walking on through a mixer would tell of the whole studio. Leads without a label that run beside
each other between the same two items are one hop.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from typing import Any

from sqlalchemy import Row, Select, select
from sqlalchemy.orm import Mapped, aliased
from sqlmodel import Session, col, or_

from kb.gear import lookup, paths
from kb.records import sorting
from kb.records.tables.gear import Item, Model
from kb.records.tables.use import Link

# Where everything comes together a chain ends: behind it hangs the rest of the studio.
HUBS = frozenset({"audio-mixer", "network-switch", "video-router", "video-switcher"})
_AWAY = 8
_WALKED = 120


_Found = Row[*tuple[Any, ...]]


@dataclass(frozen=True)
class Hop:
    """From one item to the next: the port here, the lead, the port there, what it leads to.

    Attributes:
        near_port: The port on the item that is nearer; empty where a cable is asked about.
        cable: The lead's name; empty for one without a label, or the cable asked about.
        cable_code: Its code.
        far_port: The port on the next item.
        name: The next item.
        code: Its code.
        beside: How many more leads without a label run between the same two.
    """

    near_port: str
    cable: str
    cable_code: str
    far_port: str
    name: str
    code: str
    beside: int = 0


@dataclass(frozen=True)
class Chains:
    """The chains of one direction, the shortest first.

    Attributes:
        lines: Each from the item outwards.
        cut: Whether there are more than were walked.
    """

    lines: tuple[tuple[Hop, ...], ...]
    cut: bool


@dataclass(frozen=True)
class _Step:
    """A hop that was walked.

    Attributes:
        hop: The hop.
        near: The key of the item that it begins on.
        far: The key of the item that it leads to.
        is_hub: Whether the chain ends there in any case.
        before: The number of the step before it; None on the item itself.
    """

    hop: Hop
    near: int
    far: int
    is_hub: bool
    before: int | None = None


def chains_up(session: Session, typed: str) -> Chains:
    """Return what feeds an item, each chain from the item to a source or a hub.

    Raises:
        NotFoundError: The item is unknown.
    """
    return _chains(session, lookup.item(session, typed).key, down=False)


def chains_down(session: Session, typed: str) -> Chains:
    """Return what an item feeds, each chain from the item to what it ends in, or a hub.

    Raises:
        NotFoundError: The item is unknown.
    """
    return _chains(session, lookup.item(session, typed).key, down=True)


def _chains(session: Session, start: int, *, down: bool) -> Chains:
    """Walk level by level, a question each; an item is walked on from once."""
    near, _far = _ends(down=down)
    condition = or_(near == start, col(Link.cable_id) == start)
    walked: list[_Step] = []
    front: dict[int, int | None] = {start: None}
    met = {start}
    for _ in range(_AWAY):
        found = session.execute(_asked(down=down).where(condition))
        rows = sorted(found, key=partial(_order, list(front)))
        level = [replace(step, before=front.get(step.near)) for step in _steps(rows, start)]
        fresh = dict.fromkeys(step.far for step in level if not step.is_hub)
        numbers = {step.far: len(walked) + n for n, step in reversed(list(enumerate(level)))}
        walked += level
        front = {key: numbers[key] for key in fresh if key not in met}
        met |= set(front)
        if not front or len(walked) > _WALKED:
            break
        condition = near.in_(front)
    return Chains(tuple(_lines(walked[:_WALKED])), cut=bool(front) or len(walked) > _WALKED)


def _order(front: list[int], row: _Found) -> tuple[int, str, int]:
    """Return what sorts the links of a level: as the level before, then by port."""
    # Of a lead that is asked about neither end is in front.
    place = front.index(row.near) if row.near in front else 0
    return place, sorting.by_number(row.near_port), row.link


def _steps(rows: Sequence[_Found], start: int) -> list[_Step]:
    """Return the steps of a level; leads without a label that run beside are one."""
    found: dict[tuple[int, int, int | None], _Step] = {}
    for row in rows:
        step = _step(row, start)
        between = (step.near, step.far, row.cable_key)
        kept = found.get(between)
        found[between] = replace(kept, hop=_one_more(kept.hop)) if kept else step
    return list(found.values())


def _one_more(hop: Hop) -> Hop:
    return replace(hop, beside=hop.beside + 1)


def _ends(*, down: bool) -> tuple[Mapped[int], Mapped[int]]:
    """Return the columns of the near and the far item."""
    start, end = col(Link.from_item_id), col(Link.to_item_id)
    return (start, end) if down else (end, start)


@cache
def _asked(*, down: bool) -> Select[*tuple[Any, ...]]:
    """Ask for links with what they lead to, never for more than are walked.

    Made once for each direction: that takes longer than the answer.
    """
    near, far = _ends(down=down)
    ports = (col(Link.from_port), col(Link.to_port))
    near_port, far_port = ports if down else ports[::-1]
    cable, end = aliased(Item), aliased(Item)
    columns: list[Any] = [
        *(col(Link.id).label("link"), col(Link.cable_id).label("cable_key")),
        *(near.label("near"), near_port.label("near_port")),
        *(far.label("far"), far_port.label("far_port")),
        *(col(cable.name).label("cable"), col(cable.code).label("cable_code")),
        *(end.name, end.code, Model.equipment_class),
    ]
    return (
        select(*columns)
        .join(end, far == end.id)
        .outerjoin(cable, col(Link.cable_id) == cable.id)
        .outerjoin(Model, col(end.model_id) == Model.id)
        .where(paths.during(None))
        .limit(_WALKED + 1)
    )


def _step(row: _Found, start: int) -> _Step:
    is_asked = row.cable_key == start
    hop = Hop(
        near_port="" if is_asked else row.near_port,
        cable="" if is_asked else row.cable or "",
        cable_code="" if is_asked else row.cable_code or "",
        far_port=row.far_port,
        name=row.name,
        code=row.code,
    )
    return _Step(hop, row.near, row.far, row.equipment_class in HUBS)


def _lines(walked: list[_Step]) -> Iterator[tuple[Hop, ...]]:
    """Yield the chain to each step that none goes on from, the shortest first."""
    passed = {step.before for step in walked}
    for number, step in enumerate(walked):
        if number in passed:
            continue
        line, before = [step.hop], step.before
        while before is not None:
            line.append(walked[before].hop)
            before = walked[before].before
        yield tuple(reversed(line))
