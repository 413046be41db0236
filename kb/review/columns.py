"""Read whole columns into arrays, a block at a time: fast, and small in memory."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import extract, select
from sqlmodel import Session, col

from kb.records.kinds import FAILURE_KINDS
from kb.records.tables.faults import STANDS, Fault

Whole = NDArray[np.int64]
_BLOCK = 20_000
_DAY = 86_400


def failures(session: Session, zone: ZoneInfo) -> tuple[Whole, Whole]:
    """Return the item to blame and the day of every fault that is a failure by its kind.

    Args:
        session: The unit of work.
        zone: Days are cut in it, and told as whole numbers since 1970-01-01.
    """
    found = session.connection().execute(
        select(col(Fault.cause_item_id), extract("epoch", col(Fault.noticed_at))).where(
            STANDS,
            col(Fault.cause_item_id).is_not(None),
            col(Fault.cause_kind).in_(FAILURE_KINDS),
        ),
    )
    # Straight from the driver's cursor: a row of SQLAlchemy's costs more than all the rest.
    blocks = list(_blocks(found.cursor))
    table = np.concatenate(blocks) if blocks else np.empty((0, 2), dtype=np.int64)
    if not len(table):
        return table[:, 0], table[:, 1]
    return table[:, 0], local_days(table[:, 1], zone)


def _blocks(cursor: Any) -> Iterator[Whole]:  # noqa: ANN401 - the driver's own
    while rows := cursor.fetchmany(_BLOCK):
        yield np.array(rows, dtype=np.int64)


def local_days(moments: Whole, zone: ZoneInfo) -> Whole:
    """Return the day that each time falls on in a zone, as whole numbers since 1970-01-01.

    Args:
        moments: Seconds since 1970-01-01 in UTC, at least one.
        zone: The zone.
    """
    turns, offsets = _offsets(int(moments.min()), int(moments.max()), zone)
    at = np.searchsorted(turns, moments, side="right") - 1
    return np.asarray((moments + offsets[at]) // _DAY, dtype=np.int64)


def _offsets(first: int, last: int, zone: ZoneInfo) -> tuple[Whole, Whole]:
    """Return from when on which offset from UTC holds, in seconds."""
    turns, offsets = [first], [_offset(first, zone)]
    for day in range(first, last + _DAY, _DAY):
        later = min(day + _DAY, last)
        if later > turns[-1] and _offset(later, zone) != offsets[-1]:
            low, high = max(day, turns[-1]), later
            while high - low > 1:
                middle = (low + high) // 2
                same = _offset(middle, zone) == offsets[-1]
                low, high = (middle, high) if same else (low, middle)
            turns.append(high)
            offsets.append(_offset(high, zone))
    return np.array(turns, dtype=np.int64), np.array(offsets, dtype=np.int64)


def _offset(moment: int, zone: ZoneInfo) -> int:
    there = datetime.fromtimestamp(moment, UTC).astimezone(zone).utcoffset()
    return int((there or timedelta()).total_seconds())
