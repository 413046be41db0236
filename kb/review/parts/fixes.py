"""How often a fix worked and held, the surest first."""

from collections.abc import Sequence
from dataclasses import dataclass

from kb.review.facts import Frame
from kb.review.methods import proportions
from kb.review.paper import Column, Part, Table, Value

_COLUMNS = (
    Column("Fault"),
    Column("Fix"),
    Column("Held", "count"),
    Column("Tries", "count"),
    Column("Share", "share"),
    Column("Low", "share"),
    Column("High", "share"),
    Column("Too young", "count"),
)


@dataclass(frozen=True)
class Tried:
    """What is known of a fix.

    Attributes:
        fault: The entry's title.
        fix: The fix's.
        held: Tries after which the same didn't come back within the hold time.
        tries: Tries with a verdict.
        pending: Tries that worked and are too young for one.
    """

    fault: str
    fix: str
    held: int
    tries: int
    pending: int


def worked(tried: Sequence[Tried], shared: Frame) -> Part:
    """Return how often fixes worked here, pending tries apart.

    Args:
        tried: What is known of each fix.
        shared: What the review's figures share.
    """
    found = [
        proportions.success(one.held, one.tries, pending=one.pending, confidence=shared.confidence)
        for one in tried
    ]
    rows: list[tuple[Value, ...]] = []
    for at in proportions.ranked(found):
        one = found[at]
        figures = (one.successes, one.tries, one.share, one.low, one.high, one.pending)
        rows.append((tried[at].fault, tried[at].fix, *figures))
    line = (
        f"Held: the same fault didn't come back on the item within {shared.hold_days} days; "
        "younger ones are in neither number. Jeffreys limits; ranked by the lower one. Ten tries "
        "on one bad unit are not ten tries."
    )
    said = () if rows else ("No fix of an entry has been tried yet.",)
    return Part("fixes", "What worked", said, Table(_COLUMNS, tuple(rows)), line=line)
