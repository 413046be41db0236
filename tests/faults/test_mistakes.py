"""A fault logged by mistake is taken back: readable, told of nowhere, and brought back whole."""

from datetime import timedelta

import pytest
from builders import BEGAN, an_item
from fault_builders import NOW, a_fault, a_try, an_entry
from sqlmodel import Session, select

from kb.entries import evidence, library
from kb.errors import ConflictError, NotFoundError
from kb.faults import attempts, closing, cures, frequent, log, mistakes, views
from kb.records import journal
from kb.records.kinds import FaultState
from kb.records.settings import Settings
from kb.records.tables.gear import Item
from kb.review import gather

SLUG = "display-no-signal"
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def fault(session: Session) -> int:
    an_item(session)
    an_entry(session)
    return a_fault(session, entry=SLUG)


def listed(
    session: Session, state: FaultState | None = None, item: str | None = None
) -> list[int]:
    return [one.number for one in views.fault_lines(session, LATER, 7, state=state, item=item)]


def tried(session: Session) -> int:
    key = library.entry_by(session, SLUG).key
    found = evidence.of_entries(session, [key], NOW + timedelta(days=30), 7)
    return sum(one.tried for one in found.get(key, {}).values())


def test_it_is_in_no_list_unless_asked_for(session: Session, fault: int) -> None:
    other = a_fault(session)
    mistakes.take_back(session, fault, LATER)

    assert listed(session) == [other]
    assert listed(session, FaultState.OPEN) == [other]
    assert listed(session, item="CC-01") == [other]
    assert listed(session, FaultState.MISTAKEN) == [fault]
    assert views.fault_page(session, fault, LATER, 7).line.state is FaultState.MISTAKEN


def test_no_evidence_and_no_cure_rests_on_it(session: Session, fault: int) -> None:
    a_try(session, fault)
    assert tried(session) == 1
    assert cures.cures_of(session, "CC-01")
    mistakes.take_back(session, fault, LATER)

    assert tried(session) == 0
    assert cures.cures_of(session, "CC-01") == ()
    assert frequent.frequent(session, LATER) == ()


def test_it_spoils_no_fix_that_held(session: Session, fault: int) -> None:
    """A same fault within the hold time says that the fix failed; one that never was doesn't."""
    a_try(session, fault)
    again = a_fault(session, at=NOW + timedelta(days=2), entry=SLUG)
    key = library.entry_by(session, SLUG).key

    def worked() -> int:
        found = evidence.of_entries(session, [key], NOW + timedelta(days=30), 7)
        return found[key]["replug"].worked

    assert worked() == 0
    mistakes.take_back(session, again, NOW + timedelta(days=2))
    assert worked() == 1


def test_a_review_counts_it_not(session: Session, fault: int) -> None:
    closing.close_fault(session, fault, {"kind": "own failure"}, LATER)
    assert closing.likely_kind(session, a_fault(session, entry=SLUG)) == "own failure"

    def reports() -> list[int]:
        settings = Settings(zone="UTC", log_began=BEGAN.date())
        shared = gather.frame(session, settings, LATER)
        found = gather.of_items(session, settings, shared, select(Item.id))
        return [one.number for one in found.faults]

    assert fault in reports()
    mistakes.take_back(session, fault, LATER)
    assert fault not in reports()
    assert closing.likely_kind(session, a_fault(session, entry=SLUG)) is None


def test_nothing_is_done_on_it_until_it_is_brought_back(session: Session, fault: int) -> None:
    other = a_fault(session)
    mistakes.take_back(session, fault, LATER)

    for act in (
        lambda: a_try(session, fault),
        lambda: closing.close_fault(session, fault, {"kind": "handling"}, LATER),
        lambda: closing.reopen_fault(session, fault, LATER),
        lambda: log.merge_fault(session, fault, other),
        lambda: log.merge_fault(session, other, fault),
    ):
        with pytest.raises(ConflictError, match=r"by mistake\. Bring it back first"):
            act()


def test_brought_back_it_is_as_it_was_with_what_was_struck_before(
    session: Session, fault: int
) -> None:
    slip = a_try(session, fault, "restart")
    attempts.strike_attempt(session, slip, "wrong button", NOW)
    a_try(session, fault)
    before = views.fault_page(session, fault, LATER, 7)
    mistakes.take_back(session, fault, LATER)
    mistakes.bring_back(session, fault)

    after = views.fault_page(session, fault, LATER, 7)
    assert after.line == before.line
    assert [one.struck for one in after.attempts] == [one.struck for one in before.attempts]
    assert tried(session) == 1


def test_it_says_who_did_it_and_when(session: Session, fault: int) -> None:
    mistakes.take_back(session, fault, LATER)

    last = journal.steps(session, "fault", fault)[-1]
    assert last.changes["mistaken_at"][0] is None
    assert last.who


def test_twice_or_of_none_is_refused(session: Session, fault: int) -> None:
    with pytest.raises(ConflictError, match="stands"):
        mistakes.bring_back(session, fault)
    mistakes.take_back(session, fault, LATER)
    with pytest.raises(ConflictError, match="already"):
        mistakes.take_back(session, fault, LATER)
    with pytest.raises(NotFoundError):
        mistakes.take_back(session, 99, LATER)
