"""What the story does with gear: items come, lie somewhere, are joined, lent and retired."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from random import Random
from zoneinfo import ZoneInfo

from kb.demo.acts import AFTER_SHOW, LATE, MORNING, NOON, Act, on
from kb.demo.gear_rows import DriveSpeed, Item, Link, Loan, Move
from kb.demo.story import Story
from kb.gear import drives, items, links, loans
from kb.records.kinds import ItemState

# What first, of acts at the same time.
_COME, _PART, _JOIN, _LEAVE = range(4)


@dataclass(frozen=True)
class Hand:
    """What every act needs: who acts, in which zone, by which chance, and how places are named."""

    by: str
    zone: ZoneInfo
    source: Random
    paths: dict[str, str]


def of(told: Story, hand: Hand) -> Iterator[Act]:
    """Yield every act on gear, in no order."""
    makers = {model.name: model.maker for model in told.models}
    for item in told.items:
        yield from _life(item, f"{makers[item.model]} {item.model}", hand)
    for move in told.moves:
        yield _moved(move, hand)
    for link in told.links:
        yield from _joined(link, hand)
    for loan in told.loans:
        yield from _lent(loan, hand)
    for speed in told.drive_speeds:
        yield _tested(speed, hand)


def paths(told: Story) -> dict[str, str]:
    """Return place key -> its path from the top."""
    by_key = {place.key: place for place in told.places}
    found: dict[str, str] = {}
    for place in told.places:  # parents come first
        above = found[place.parent] + "/" if place.parent else ""
        found[place.key] = above + by_key[place.key].name
    return found


def _life(item: Item, model: str, hand: Hand) -> Iterator[Act]:
    """Yield how an item comes, and how it leaves use."""
    values = {
        "name": item.name,
        "model": model,
        "batch": item.batch,
        "serial": item.serial,
        "place": hand.paths[item.place],
        "in_service": item.in_service,
        "bought": item.in_service,
        "price": item.price_minor,
    }
    came = on(item.in_service, MORNING, hand.zone)
    add = partial(items.add_item, values=values, at=came, source=hand.source)
    yield Act(came, _COME, hand.by, add)
    for day, state, reason in (
        (item.set_aside_on, ItemState.SET_ASIDE, item.set_aside_reason),
        (item.retired_on, ItemState.RETIRED, item.retired_reason),
    ):
        if day is not None:
            left = on(day, LATE, hand.zone)
            leave = partial(items.set_state, typed=item.name, state=state, at=left, reason=reason)
            yield Act(left, _LEAVE, hand.by, leave)


def _moved(move: Move, hand: Hand) -> Act:
    at = on(move.on, AFTER_SHOW, hand.zone)
    does = partial(
        items.move_item,
        typed=move.item,
        place=hand.paths[move.place],
        at=at,
        reason=move.note,
    )
    return Act(at, _JOIN, hand.by, does)


def _joined(link: Link, hand: Hand) -> Iterator[Act]:
    """Yield how two ports are joined, and parted again."""
    since = on(link.since, AFTER_SHOW, hand.zone)
    values = {
        "cable": link.cable,
        "from_item": link.from_item,
        "from_port": link.from_port,
        "to_item": link.to_item,
        "to_port": link.to_port,
    }
    number: list[int] = []
    connect = partial(links.connect, values=values, at=since)
    yield Act(since, _JOIN, hand.by, lambda session: number.append(connect(session)))
    if link.until is not None:
        until = on(link.until, AFTER_SHOW, hand.zone)
        yield Act(
            until,
            _PART,
            hand.by,
            lambda session: links.disconnect(session, f"link {number[0]}", until),
        )


def _lent(loan: Loan, hand: Hand) -> Iterator[Act]:
    """Yield how a thing goes away and comes back; one without a label can't be kept."""
    if loan.item is None or loan.out_on is None:
        return
    out = on(loan.out_on, NOON, hand.zone)
    values = {"borrower": loan.borrower, "due": loan.due_on, "note": loan.note}
    yield Act(out, _PART, hand.by, partial(loans.lend, typed=loan.item, values=values, at=out))
    if loan.back_on is not None:
        back = on(loan.back_on, NOON, hand.zone)
        yield Act(back, _JOIN, hand.by, partial(loans.take_back, typed=loan.item, at=back))


def _tested(speed: DriveSpeed, hand: Hand) -> Act:
    at = on(speed.on, NOON, hand.zone)
    does = partial(drives.add_test, typed=speed.drive, write_rate=speed.bytes_per_second, at=at)
    return Act(at, _JOIN, hand.by, does)
