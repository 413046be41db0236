"""What the story tells of use: shows, faults from report to cause, services, searches in vain."""

from collections.abc import Iterator
from datetime import timedelta
from functools import partial

from sqlmodel import Session

from kb.demo.acts import Act
from kb.demo.gear_acts import Hand
from kb.demo.story import Story
from kb.demo.use_rows import Attempt, Fault, Search, Service, ServiceItem, Show
from kb.faults import attempts, closing, log
from kb.gear import shows, upkeep
from kb.records.kinds import Outcome
from kb.search import unanswered

_PLANNED_BEFORE = timedelta(days=7)
# What first, of acts at the same time: a show before what happens in it, a report before a try.
_PLAN, _REPORT, _TRY, _CLOSE, _SERVE = range(-1, 4)


def of(told: Story, hand: Hand) -> Iterator[Act]:
    """Yield every act of use, in no order."""
    for show in told.shows:
        yield _planned(show, hand)
    tried: dict[int, list[Attempt]] = {}
    for attempt in told.attempts:
        tried.setdefault(attempt.fault, []).append(attempt)
    numbers: dict[int, int] = {}
    for fault in told.faults:
        yield from _fault(fault, tried.get(fault.number, []), numbers, hand)
    looked_at: dict[int, list[ServiceItem]] = {}
    for row in told.service_items:
        looked_at.setdefault(row.service, []).append(row)
    for service in told.services:
        yield _served(service, looked_at.get(service.number, []), numbers, hand)
    for search in told.searches:
        yield _searched(search)


def _planned(show: Show, hand: Hand) -> Act:
    values = {
        "title": f"Panel of {show.on:%d %B %Y}",
        "set_up_from": show.set_up_from,
        "air_at": show.air_at,
        "ends_at": show.ends_at,
    }
    at = show.set_up_from - _PLANNED_BEFORE
    return Act(at, _PLAN, hand.by, partial(shows.add_show, values=values))


def _fault(
    fault: Fault, tried: list[Attempt], numbers: dict[int, int], hand: Hand
) -> Iterator[Act]:
    """Yield the report, each try, and the closing; `numbers` learns the number it was given."""
    report = {
        "text": fault.text,
        "item": fault.seen_on,
        "place": hand.paths[fault.seen_at] if fault.seen_at else None,
        "effect": fault.effect,
        "minutes_lost": fault.minutes,
        "entry": fault.topic,
        "noticed_at": fault.noticed_at,
    }

    def reported(session: Session) -> None:
        numbers[fault.number] = log.log_fault(session, report, fault.noticed_at)

    yield Act(fault.noticed_at, _REPORT, fault.reporter, reported)
    for attempt in tried:
        yield _tried(attempt, fault, numbers)
    words = ", ".join(filter(None, (fault.cause, fault.helped)))
    cause = {
        "kind": fault.cause_kind,
        "item": fault.cause_item,
        "note": words or None,
        "restored_at": fault.restored_at,
    }
    end = max([fault.restored_at, *(attempt.at for attempt in tried)])
    yield Act(
        end,
        _CLOSE,
        fault.reporter,
        lambda session: closing.close_fault(session, numbers[fault.number], cause, end),
    )


def _tried(attempt: Attempt, fault: Fault, numbers: dict[int, int]) -> Act:
    values = {
        "fix": attempt.fix,
        "entry": fault.topic if attempt.fix else None,
        "what": attempt.what,
        "outcome": Outcome.WORKED if attempt.worked else Outcome.DID_NOT_WORK,
    }
    return Act(
        attempt.at,
        _TRY,
        fault.reporter,
        lambda session: attempts.record_attempt(
            session, numbers[fault.number], values, attempt.at
        ),
    )


def _served(
    service: Service, looked_at: list[ServiceItem], numbers: dict[int, int], hand: Hand
) -> Act:
    values = {
        "kind": service.kind,
        "work": service.work,
        "tester": service.tester,
        "cost": service.cost_minor,
        "next_due": service.next_due,
        "items": [{"item": one.item, "result": one.result, "note": one.note} for one in looked_at],
    }
    return Act(
        service.at,
        _SERVE,
        hand.by,
        lambda session: upkeep.add_service(
            session,
            values | ({"fault": numbers[service.fault]} if service.fault else {}),
            service.at,
        ),
    )


def _searched(search: Search) -> Act:
    keep = partial(unanswered.keep, query=search.query, at=search.at)
    return Act(search.at, _SERVE, search.by, keep)
