"""The words of the review besides `models`: before buying, looking back, and money."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Annotated, Any

import typer

from kb.cli import desk, output
from kb.cli.options import ItemName, Json

Since = Annotated[datetime | None, typer.Option("--from", formats=["%Y-%m-%d"], help="First day.")]
Until = Annotated[
    datetime | None, typer.Option(formats=["%Y-%m-%d"], help="The day after the last.")
]
Confidence = Annotated[float, typer.Option(help="Of the two-sided interval.")]
Class = Annotated[str, typer.Argument(help="Equipment class, as recorder.", metavar="CLASS")]
_MINOR = 100


def add_to(group: typer.Typer) -> None:
    """Add these words to the group of the review."""
    group.command("class")(of_class)
    group.command("causes")(causes)
    group.command("hindsight")(hindsight)
    group.command("drives")(drives)
    group.command("repairs")(repairs)
    group.command("fixes")(fixes)
    group.command("money")(money)
    group.command("replace")(replace)
    group.command("never")(never)


def of_class(
    equipment_class: Class,
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    as_json: Json = False,
) -> None:
    """Compare the models of a class before you buy.

    Example: kitlore review class recorder
    """
    from kb.cli import review_text
    from kb.review import buying, fleet

    place = desk.chosen()
    with desk.reading(place) as session:
        found = fleet.fetch(
            session,
            place.settings,
            desk.now(place),
            since=_day(since),
            until=_day(until),
            equipment_class=equipment_class,
        )
        told = buying.before_buying(
            found,
            equipment_class,
            minute_cost=place.settings.minute_cost,
            confidence=confidence,
        )
    if as_json:
        output.as_json(told)
    else:
        review_text.show_class(told, place.settings.currency)


def causes(
    equipment_class: Class,
    model: Annotated[str | None, typer.Option(help="Only units of this model.")] = None,
    since: Since = None,
    until: Until = None,
    as_json: Json = False,
) -> None:
    """Tell what caused the faults seen on a class, and where.

    Example: kitlore review causes recorder --model "Granary 4"
    """
    from kb.cli import review_text
    from kb.review import causes, fleet

    place = desk.chosen()
    with desk.reading(place) as session:
        found = fleet.fetch(
            session,
            place.settings,
            desk.now(place),
            since=_day(since),
            until=_day(until),
            equipment_class=equipment_class,
        )
    keys = fleet.keys_of(found, model) if model else None
    hidden, where = causes.hidden_causes(found, keys), causes.whereabouts(found, keys)
    if as_json:
        output.as_json({"hidden": hidden, "where": where})
    else:
        review_text.show_causes(hidden, where)


def hindsight(
    service: Annotated[int | None, typer.Argument(help="Number of a service.")] = None,
    confidence: Confidence = 0.90,
    as_json: Json = False,
) -> None:
    """Compare before and after a service; without one list them.

    Example: kitlore review hindsight 9
    """
    from kb.cli import review_text
    from kb.review import hindsight

    place = desk.chosen()
    with desk.reading(place) as session:
        if service is None:
            rows = hindsight.services(session, place.settings)
            _listed(("service", "day", "work"), rows, as_json, "No service was written down.")
            return
        found = hindsight.of_service(
            session, place.settings, desk.now(place), service, confidence=confidence
        )
    if as_json:
        output.as_json(found)
    else:
        review_text.show_hindsight(found)


def drives(
    needed: Annotated[
        float | None, typer.Option(help="MB/s that a drive must sustain.", min=0, max=1_000_000)
    ] = None,
    confidence: Confidence = 0.90,
    as_json: Json = False,
) -> None:
    """Tell when each drive's write speed falls too low.

    Example: kitlore review drives --needed 41.3
    """
    from kb.cli import review_text
    from kb.review import drives

    place = desk.chosen()
    with desk.reading(place) as session:
        found = drives.wear_of(
            session,
            place.settings,
            desk.now(place),
            needed=round(needed * 1e6) if needed else None,
            confidence=confidence,
        )
    if as_json:
        output.as_json(found)
    else:
        review_text.show_drives(found)


def repairs(equipment_class: Class, confidence: Confidence = 0.90, as_json: Json = False) -> None:
    """Tell how long repairs take and what comes back.

    Example: kitlore review repairs recorder
    """
    from kb.cli import review_text
    from kb.review import fleet, recovering

    place = desk.chosen()
    now = desk.now(place)
    with desk.reading(place) as session:
        found = fleet.fetch(session, place.settings, now, equipment_class=equipment_class)
        rows = recovering.recovery(session, place.settings, now, found, confidence=confidence)
    if as_json:
        output.as_json(rows)
    else:
        review_text.show_repairs(rows)


def fixes(confidence: Confidence = 0.90, as_json: Json = False) -> None:
    """Rank the fixes tried here by how surely they work.

    Example: kitlore review fixes
    """
    from kb.review import fixes

    place = desk.chosen()
    with desk.reading(place) as session:
        rows = fixes.fixes(session, place.settings, desk.now(place), confidence=confidence)
    if as_json:
        output.as_json(rows)
        return
    for one in rows:
        output.say(f"- {one.entry}, {one.fix}: {one.words}")
    if not rows:
        output.say("No fix was tried yet.")


def money(
    equipment_class: Annotated[
        str, typer.Argument(help="Equipment class; all without it.", metavar="[CLASS]")
    ] = "",
    lead_days: Annotated[float, typer.Option(help="Days until a spare is replaced.")] = 14,
    service_level: Annotated[float, typer.Option(help="Chance that spares suffice.")] = 0.95,
    as_json: Json = False,
) -> None:
    """Tell what failures cost and how many spares to keep.

    Example: kitlore review money recorder --lead-days 21
    """
    from kb.cli import review_text
    from kb.review import fleet, spending

    place = desk.chosen()
    with desk.reading(place) as session:
        found = fleet.fetch(
            session, place.settings, desk.now(place), equipment_class=equipment_class
        )
        rows = spending.spending(
            session,
            found,
            minute_cost=place.settings.minute_cost,
            lead_days=lead_days,
            service=service_level,
        )
    if as_json:
        output.as_json(rows)
    else:
        review_text.show_money(rows, place.settings.currency)


def replace(
    item: ItemName,
    model: Annotated[str, typer.Option(help="The model to buy in its place.")],
    price: Annotated[float, typer.Option(help="What the new one costs.")],
    repair: Annotated[float, typer.Option(help="What mending the old one costs.")] = 0,
    worth: Annotated[float, typer.Option(help="What the old one would fetch now.")] = 0,
    years: Annotated[int, typer.Option(help="Years the old one would go on.")] = 2,
    life: Annotated[int, typer.Option(help="Years a new one is kept at most.")] = 6,
    interest: Annotated[float, typer.Option(help="Per cent a year.")] = 5,
    as_json: Json = False,
) -> None:
    """Weigh mending an item against a new one.

    Example: kitlore review replace RC-01 --model "Granary 6" --price 1690
    """
    from kb.review import replacing
    from kb.review.replacing import Plan

    place = desk.chosen()
    plan = Plan(worth * _MINOR, repair * _MINOR, years, price * _MINOR, life, interest / 100)
    with desk.reading(place) as session:
        found = replacing.weigh(session, place.settings, desk.now(place), item, model, plan)
    if as_json:
        output.as_json(found)
    else:
        output.say(found.words)


def never(confidence: Confidence = 0.90, as_json: Json = False) -> None:
    """List the models not to buy again, with the evidence.

    Example: kitlore review never
    """
    from kb.review import buying, fleet

    place = desk.chosen()
    with desk.reading(place) as session:
        found = fleet.fetch(session, place.settings, desk.now(place))
    rows = buying.never_again(found, confidence=confidence)
    if as_json:
        output.as_json(rows)
        return
    for one in rows:
        output.say(f"- {one.words}")
    if not rows:
        output.say("No model is clearly worse than another one of its kind.")


def _day(value: datetime | None) -> date | None:
    return value.date() if value else None


def _listed(
    names: Sequence[str], rows: Sequence[Sequence[Any]], as_json: bool, empty: str
) -> None:
    if as_json:
        output.as_json([dict(zip(names, row, strict=True)) for row in rows])
    else:
        output.table([name.capitalize() for name in names], rows, empty)
