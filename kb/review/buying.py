"""'Before you buy': the models of a class side by side, and what their failures say."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kb.review import evidence, verdicts
from kb.review.evidence import Evidence
from kb.review.fleet import Fleet, Thing
from kb.review.verdicts import Compared, Side, Verdict


@dataclass(frozen=True)
class Job:
    """Models that can stand in for each other, compared.

    Attributes:
        equipment_class: Their class.
        plugs: What tells them from others of the class; empty where nothing does.
        models: Each model, the highest lower limit of its shrunk rate first.
        batches: The batches of a model that has several.
        compared: Each pair, and each pair of batches after them.
        verdict: In words, the first thing to read.
    """

    equipment_class: str
    plugs: str
    models: tuple[Evidence, ...]
    batches: tuple[Evidence, ...]
    compared: tuple[Compared, ...]
    verdict: tuple[str, ...]


@dataclass(frozen=True)
class Buying:
    """The report of a class.

    Attributes:
        equipment_class: Which.
        since: The first day looked at.
        until: The day after the last.
        confidence: Of each two-sided interval.
        jobs: One for each kind of work its models do.
    """

    equipment_class: str
    since: date
    until: date
    confidence: float
    jobs: tuple[Job, ...]


def before_buying(
    fleet: Fleet, equipment_class: str, *, minute_cost: int = 0, confidence: float = 0.9
) -> Buying:
    """Return the models of a class side by side.

    Args:
        fleet: The units of the class and the faults that touch them.
        equipment_class: Which.
        minute_cost: What one lost minute costs, in minor units.
        confidence: Of each two-sided interval.
    """
    by_job: dict[str, list[Thing]] = {}
    for thing in fleet.things.values():
        by_job.setdefault(thing.job, []).append(thing)
    jobs = tuple(
        _job(fleet, equipment_class, plugs, things, minute_cost, confidence)
        for plugs, things in sorted(by_job.items())
    )
    days = fleet.window
    return Buying(equipment_class, days.since, days.until, confidence, jobs)


def never_again(fleet: Fleet, *, confidence: float = 0.9) -> tuple[Compared, ...]:
    """Return the models that are clearly worse than another one of their job, with the evidence.

    Args:
        fleet: All units, and all faults of the window.
        confidence: Of each two-sided interval.
    """
    groups: dict[tuple[str, str], list[Thing]] = {}
    for thing in fleet.things.values():
        groups.setdefault((thing.equipment_class, thing.job), []).append(thing)
    found: list[Compared] = []
    for (kind, _), things in sorted(groups.items()):
        if kind:
            models = _grouped(things, "model")
            told = evidence.side_by_side(fleet, models, minute_cost=0, confidence=confidence)
            found += verdicts.compare(_sides(told), fleet.window.until, confidence=confidence)
    return tuple(one for one in found if one.verdict is Verdict.WORSE)


def _job(
    fleet: Fleet,
    kind: str,
    plugs: str,
    things: Sequence[Thing],
    minute_cost: int,
    confidence: float,
) -> Job:
    models = _grouped(things, "model")
    batches = {
        f"{model}, batch {batch}": group
        for model, mine in models.items()
        for batch, group in _grouped(mine, "batch").items()
        if batch and len(group) < len(mine)
    }
    told = [
        evidence.side_by_side(fleet, groups, minute_cost=minute_cost, confidence=confidence)
        for groups in (models, batches)
    ]
    compared = [
        verdicts.compare(_sides(one), fleet.window.until, confidence=confidence) for one in told
    ]
    verdict = _verdict(told[0], compared[0] + compared[1])
    return Job(kind, plugs, told[0], told[1], compared[0] + compared[1], verdict)


def _grouped(things: Sequence[Thing], field: str) -> dict[str, list[Thing]]:
    found: dict[str, list[Thing]] = {}
    for thing in things:
        found.setdefault(getattr(thing, field), []).append(thing)
    return found


def _sides(told: Sequence[Evidence]) -> list[Side]:
    return [
        Side(one.name, one.failures, one.unit_days, one.in_use) for one in told if one.unit_days
    ]


def _verdict(models: Sequence[Evidence], compared: Sequence[Compared]) -> tuple[str, ...]:
    """Return what to read first: what is clear, and what to mind about it."""
    found = [one.words for one in compared if one.verdict is Verdict.WORSE]
    if not found and not compared:
        found = ["There is one model of its kind: nothing to compare it with."]
    elif not found:
        found = ["No model is clearly worse than another."]
    return (*found, *(text for one in models for text in _traps(one)))


def _traps(one: Evidence) -> list[str]:
    """Return what would lead a reader of the bare counts astray."""
    found = []
    if one.seen_elsewhere:
        share = f"{one.seen_elsewhere} of its {one.failures} failures were"
        if one.failures == 1:
            share = "its one failure was"
        found.append(
            f"{one.name}: {share} only seen on something else; a count by what was reported would "
            "miss that."
        )
    if one.hidden:
        found.append(
            f"{one.name}: {one.hidden} of the faults seen on it were caused by something else and "
            "don't count against it."
        )
    if one.trend and one.trend.words.startswith("worsening"):
        found.append(
            f"{one.name}: {one.trend.words} (Laplace p {one.trend.laplace_p:.3f}, MIL-HDBK-189 "
            f"p {one.trend.handbook_p:.3f}, {one.trend.events} failures): its rate isn't "
            "constant, and a rate over the whole time is too kind to it now."
        )
    if one.piled and one.worst and one.piled.p < _RARE:
        found.append(
            f"{one.name}: {one.worst[0]} alone has {one.worst[1]} of the {one.failures} failures "
            f"(p {one.piled.p:.3f} that chance spreads them so): one unit may be bad, not "
            "the model."
        )
    return found


_RARE = 0.10
