"""What a list or a page shows of faults; the filter by state says what the rule says."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import pytest
from builders import a_place, an_item
from fault_builders import FAILED, NOW, a_fault, a_try, an_entry
from history_register import a_picture
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.faults import attempts, closing, log, photos, states, views
from kb.gear import places
from kb.records.kinds import FaultState
from kb.records.tables.faults import Fault

DAY = timedelta(days=1)
times = st.datetimes(datetime(2026, 3, 1), datetime(2026, 3, 31), timezones=st.just(UTC))  # noqa: DTZ001 - the strategy adds the zone


def numbers(session: Session, **wanted: object) -> list[int]:
    found = views.fault_lines(session, NOW, 7, **wanted)  # type: ignore[arg-type]
    return [line.number for line in found]


def test_faults_are_listed_newest_first(session: Session) -> None:
    an_item(session)
    old, new = a_fault(session, noticed_at=NOW - DAY), a_fault(session)
    again = a_fault(session)
    assert numbers(session) == [again, new, old]
    assert numbers(session, limit=1) == [again]
    assert numbers(session, limit=5, offset=1) == [new, old]
    assert numbers(session, limit=5, offset=3) == []


def test_an_item_lists_what_was_seen_on_it_and_what_it_caused(session: Session) -> None:
    for name in ("CC-01", "CC-02", "CC-03"):
        an_item(session, name)
    seen, caused, other = a_fault(session), a_fault(session, "CC-02"), a_fault(session, "CC-03")
    closing.close_fault(session, caused, {"kind": "own failure", "item": "CC-01"}, NOW)
    assert numbers(session, item="cc-01") == [caused, seen]
    assert numbers(session, item="CC-02") == [caused]
    assert numbers(session) == [other, caused, seen]
    with pytest.raises(NotFoundError, match="No item 'CC-99'"):
        numbers(session, item="CC-99")


@pytest.mark.parametrize(
    ("act", "state"),
    [
        ("nothing", FaultState.OPEN),
        ("worked", FaultState.WATCHED),
        ("held", FaultState.CLOSED),
        ("closed", FaultState.CLOSED),
    ],
)
def test_a_list_can_be_narrowed_to_a_state(session: Session, act: str, state: FaultState) -> None:
    an_item(session)
    an_entry(session)
    number = a_fault(session, noticed_at=NOW - 8 * DAY, entry="display-no-signal")
    if act in ("worked", "held"):
        a_try(session, number, at=NOW - (7 * DAY if act == "held" else DAY))
    if act == "closed":
        closing.close_fault(session, number, {"kind": "unknown"}, NOW)
    for wanted in FaultState:
        assert numbers(session, state=wanted) == ([number] if wanted is state else [])


@pytest.mark.slow
@settings(
    max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(
    st.lists(st.tuples(st.none() | times, st.booleans()), max_size=6), times, st.integers(1, 20)
)
def test_the_filter_by_state_agrees_with_the_rule(
    session: Session, restored: list[tuple[datetime | None, bool]], now: datetime, hold: int
) -> None:
    """Each fault is (when restored, whether its cause was named then)."""
    if not session.info.get("item"):
        session.info["item"] = an_item(session)
    began = datetime(2026, 2, 1, tzinfo=UTC)
    mine: dict[int, FaultState] = {}
    for at, named in restored:
        fault = session.get_one(Fault, a_fault(session, noticed_at=began))
        fault.restored_at, fault.closed_at = at, at if named else None
        mine[fault.key] = states.state_of(at, fault.closed_at, now, timedelta(days=hold))
    session.flush()
    for state in FaultState:
        found = views.fault_lines(session, now, hold, state=state, limit=10_000)
        assert {line.state for line in found} <= {state}
        listed = {line.number for line in found} & mine.keys()
        assert listed == {number for number, said in mine.items() if said is state}


def test_a_merged_fault_is_listed_once_under_the_number_that_stands(session: Session) -> None:
    an_item(session)
    gone, kept = a_fault(session), a_fault(session)
    log.merge_fault(session, gone, kept)
    assert numbers(session) == [kept]
    assert views.fault_page(session, gone, NOW, 7).line.number == kept


def test_a_fault_keeps_the_place_that_went_out_of_use(session: Session) -> None:
    a_place(session)
    a_place(session, "R1", kind="rack", within="RR")
    number = a_fault(session, None, place="RR/R1")
    places.retire_place(session, "RR/R1", NOW)
    assert views.fault_page(session, number, NOW, 7).line.place == "RR/R1"


def test_attempts_are_shown_in_the_order_they_were_made(session: Session) -> None:
    an_item(session)
    an_entry(session)
    number = a_fault(session, entry="display-no-signal")
    minutes = list(range(8))
    Random(7).shuffle(minutes)  # noqa: S311 - chance that repeats
    for minute in minutes:
        a_try(session, number, at=NOW + timedelta(minutes=minute), minutes=minute)
    shown = views.fault_page(session, number, NOW, 7).attempts
    assert [line.minutes for line in shown] == sorted(minutes)


def test_a_number_that_is_none_is_told(session: Session) -> None:
    with pytest.raises(NotFoundError, match="No fault '7'"):
        views.fault_page(session, 7, NOW, 7)


def test_a_list_is_narrowed_by_entry_place_and_words(session: Session) -> None:
    an_item(session)
    an_entry(session)
    a_place(session)
    a_place(session, "R1", within="RR", kind="rack")
    first = a_fault(session, entry="display-no-signal", text="Green, and 100% dark", place="R1")
    second = a_fault(session, text="green all over")
    closing.close_fault(session, second, {"kind": "unknown", "note": "fan dust"}, NOW)

    assert numbers(session, entry="display-no-signal") == [first]
    assert numbers(session, place="RR") == [first]
    assert numbers(session, text="GREEN") == [second, first]
    assert numbers(session, text="dark green") == [first]
    assert numbers(session, text="dust") == [second]
    assert numbers(session, text="100%") == [first]
    assert numbers(session, text="%") == [first]
    assert numbers(session, text="green", entry="display-no-signal", place="RR/R1") == [first]
    with pytest.raises(NotFoundError, match="no-such"):
        numbers(session, entry="no-such")


def test_an_attempt_is_told_by_the_heading_of_its_fix(session: Session) -> None:
    an_item(session)
    an_entry(session)
    number = a_fault(session, entry="display-no-signal")
    for values in ({"fix": "replug"}, {"fix": "swap"}, {"what": "wiggled"}):
        a_try(session, number, fix=values.get("fix"), what=values.get("what"))  # type: ignore[arg-type]

    made = views.fault_page(session, number, NOW, 7).attempts

    assert [one.title for one in made] == ["Replug it", "Swap the lead", "wiggled"]


def test_the_mark_of_a_fault_changes_with_whatever_changes_on_it(
    session: Session, tmp_path: Path
) -> None:
    an_item(session)
    an_entry(session)
    number = a_fault(session, entry="display-no-signal")
    marks = [views.version_of(session, number)]

    def marked() -> None:
        marks.append(views.version_of(session, number))

    attempt = a_try(session, number)
    marked()
    attempts.correct_attempt(session, attempt, FAILED)
    marked()
    digest = photos.keep_photo(session, tmp_path, number, a_picture(), NOW)
    marked()
    photos.take_down_photo(session, number, digest, NOW)
    marked()
    log.correct_fault(session, number, {"text": "pink"}, NOW)
    marked()

    assert len(set(marks)) == len(marks) == 6
    assert views.version_of(session, number) == marks[-1]
