"""Facts about units that a test makes up: one model, one unit, so many failures."""

from datetime import UTC, date, datetime, timedelta

from kb.review.facts import Facts, FaultFacts, Frame, UnitFacts
from kb.review.methods.exposure import Days, UnitExposure

BEGAN = date(2020, 1, 1)
FRAME = Frame(
    window=Days(BEGAN, date(2026, 1, 1)),
    began=BEGAN,
    now=datetime(2025, 12, 31, 12, tzinfo=UTC),
    today=date(2025, 12, 31),
    confidence=0.9,
    currency="GBP",
    minute_cost=1200,
    hold_days=7,
    repeat_days=90,
    version="abcdef12-7",
)


def facts_of(
    model: str, *, days: int, failures: int, minutes: int = 0, shows: tuple[date, ...] = ()
) -> Facts:
    """Return the facts about one unit, U-1, with a failure every tenth day.

    Args:
        model: Its model.
        days: Exposed, from the first day on.
        failures: How many, each of its own.
        minutes: Lost with each.
        shows: The days of the shows held.
    """
    when = tuple(BEGAN + timedelta(days=10 * n) for n in range(failures))
    spell = Days(BEGAN, BEGAN + timedelta(days=days))
    unit = UnitFacts(
        key=1,
        code="K7M4XV",
        name="U-1",
        model=model,
        equipment_class="recorder",
        plugs="",
        batch="",
        state="fit",
        in_service=BEGAN,
        exposure=UnitExposure("U-1", (spell,), when, ()),
        price=None,
        warranty_until=None,
    )
    return Facts(
        frame=FRAME,
        units=(unit,),
        left_out=(),
        faults=tuple(_failure(number, day, minutes) for number, day in enumerate(when, 1)),
        services=(),
        shows=tuple(
            (datetime(day.year, day.month, day.day, 19, tzinfo=UTC), day) for day in shows
        ),
        speeds=(),
        needed_speed=None,
        moves={},
    )


def _failure(number: int, day: date, minutes: int) -> FaultFacts:
    noticed = datetime(day.year, day.month, day.day, 18, tzinfo=UTC)
    return FaultFacts(
        number=number,
        day=day,
        noticed_at=noticed,
        restored_at=noticed + timedelta(minutes=minutes),
        seen=1,
        seen_name="U-1",
        seen_class="recorder",
        place=None,
        place_name="",
        cause=1,
        cause_name="U-1",
        cause_class="recorder",
        kind="own failure",
        minutes=minutes,
        effect="none",
        symptom="",
    )
