"""What counts as a failure, without a database."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kb.records.kinds import FAILURE_KINDS


@dataclass(frozen=True)
class Closed:
    """A fault as far as counting needs.

    Attributes:
        number: Its number.
        day: The day it was noticed, in the workspace's zone.
        cause_item: Key of the item to blame; None where none is.
        cause_kind: What kind of cause it was; None while nobody said.
    """

    number: int
    day: date
    cause_item: int | None
    cause_kind: str | None


def failures(faults: Iterable[Closed]) -> list[Closed]:
    """Return the faults that are failures, each counted once on its cause item.

    A fault is one when its cause kind is own failure, wrong setting as delivered or unknown. A
    second report on the same cause item the same day tells of what is counted already.
    """
    counted: dict[tuple[int, date], Closed] = {}
    for fault in sorted(faults, key=lambda one: (one.day, one.number)):
        if fault.cause_item is not None and fault.cause_kind in FAILURE_KINDS:
            counted.setdefault((fault.cause_item, fault.day), fault)
    return list(counted.values())
