"""Whether a fix held: the same fault did not come back on the item within the hold time."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.entries import outcomes
from kb.entries.outcomes import Evidence, Tried, weigh
from kb.records.kinds import Outcome

DAY = timedelta(days=1)
HOLD = 7 * DAY
AT = datetime(2026, 3, 1, 19, 0, tzinfo=UTC)
ENDED = AT + 30 * DAY  # long after the hold time
TRIED = Tried(fault=1, item=5, at=AT, outcome=Outcome.WORKED, restored=True, last=True)
OWN = (1, 5, AT - DAY)

moments = st.integers(0, 40).map(lambda days: AT + days * DAY)
tries = st.lists(
    st.builds(
        Tried,
        fault=st.integers(1, 4),
        item=st.none() | st.integers(5, 7),
        at=moments,
        outcome=st.sampled_from(Outcome),
        restored=st.booleans(),
        last=st.booleans(),
    ),
    max_size=8,
)
sightings = st.lists(st.tuples(st.integers(1, 9), st.integers(5, 7), moments), max_size=8)


@pytest.mark.parametrize(
    ("changed", "seen", "worked"),
    [
        ({}, [OWN], 1),
        ({"outcome": Outcome.DID_NOT_WORK}, [OWN], 0),
        ({"restored": False}, [OWN], 0),  # opened again
        ({"last": False}, [OWN], 0),  # needed another attempt
        ({}, [OWN, (2, 5, AT + DAY)], 0),  # came back
        ({}, [OWN, (2, 5, AT + HOLD)], 0),  # in the last moment
        ({}, [OWN, (2, 5, AT + HOLD + timedelta(seconds=1))], 1),  # a new one
        ({}, [OWN, (2, 5, AT)], 1),  # reported before the fix was done
        ({}, [OWN, (2, 6, AT + DAY)], 1),  # on another item
        ({"item": None}, [(2, 5, AT + DAY)], 1),  # on no known item
        ({}, [(1, 5, AT + DAY)], 1),  # the report itself, its time put right
    ],
)
def test_a_fix_held_or_it_did_not(
    changed: dict[str, object], seen: list[tuple[int, int, datetime]], worked: int
) -> None:
    one = replace(TRIED, **changed)  # type: ignore[arg-type]
    assert weigh([one], seen, ENDED, HOLD) == Evidence(1, worked, (), AT)


@pytest.mark.parametrize(
    ("now", "told"),
    [
        (AT, Evidence(0, 0, (AT + HOLD,), AT)),
        (AT + HOLD - timedelta(seconds=1), Evidence(0, 0, (AT + HOLD,), AT)),
        (AT + HOLD, Evidence(1, 1, (), AT)),
    ],
)
def test_a_young_one_is_pending_until_the_hold_time_is_over(now: datetime, told: Evidence) -> None:
    assert weigh([TRIED], [OWN], now, HOLD) == told


def test_one_that_failed_is_known_at_once() -> None:
    failed = replace(TRIED, outcome=Outcome.DID_NOT_WORK)
    assert weigh([failed], [OWN], AT, HOLD) == Evidence(1, 0, (), AT)


def test_every_attempt_counts_and_the_last_day_is_told() -> None:
    later = replace(TRIED, fault=2, at=AT + 10 * DAY)
    failed = replace(TRIED, fault=3, at=AT + 2 * DAY, outcome=Outcome.DID_NOT_WORK)
    found = weigh([later, TRIED, failed], [OWN], AT + 12 * DAY, HOLD)
    assert found == Evidence(2, 1, (AT + 17 * DAY,), AT + 10 * DAY)
    assert weigh([], [OWN], ENDED, HOLD) == Evidence()


@pytest.mark.parametrize(
    ("evidence", "words"),
    [
        (Evidence(), "trade practice, not tried here yet"),
        (Evidence(9, 2, (), AT), "tested here 2 of 9, last on 2026-03-01"),
        (
            Evidence(9, 2, (ENDED, ENDED), AT),
            "tested here 2 of 9, 2 worked, too young to count, last on 2026-03-01",
        ),
        (Evidence(0, 0, (ENDED,), AT), "1 worked, too young to count, last on 2026-03-01"),
    ],
)
def test_evidence_is_told_with_its_sample(evidence: Evidence, words: str) -> None:
    assert evidence.in_words(UTC) == words


@pytest.mark.parametrize(("zone", "day"), [("Europe/Berlin", "02"), ("America/New_York", "01")])
def test_the_last_day_is_one_of_the_house(zone: str, day: str) -> None:
    late = datetime(2026, 3, 1, 23, 30, tzinfo=UTC)
    kept = {"tried": 1, "worked": 1, "pending": [], "last_on": late.isoformat()}
    words = f"tested here 1 of 1, last on 2026-03-{day}"

    assert Evidence(1, 1, (), late).in_words(ZoneInfo(zone)) == words
    assert outcomes.kept_in_words(kept, late, ZoneInfo(zone)) == words


@settings(max_examples=150)
@given(tries, sightings, moments)
def test_every_attempt_is_either_known_or_pending(
    made: list[Tried], seen: list[tuple[int, int, datetime]], now: datetime
) -> None:
    found = weigh(made, seen, now, HOLD)
    assert 0 <= found.worked <= found.tried
    assert found.tried + len(found.pending) == len(made)
    assert all(end > now for end in found.pending)
    assert (found.last_on is None) == (not made)


@settings(max_examples=150)
@given(tries, sightings, moments, moments)
def test_kept_evidence_grows_as_if_it_were_weighed_again(
    made: list[Tried], seen: list[tuple[int, int, datetime]], one: datetime, other: datetime
) -> None:
    """An index keeps evidence; nothing more happened between the two times."""
    now, later = sorted((one, other))
    before = [sighting for sighting in seen if sighting[2] <= now]
    kept = weigh(made, before, now, HOLD)
    assert kept.at(now) == kept
    assert kept.at(later) == weigh(made, before, later, HOLD)
