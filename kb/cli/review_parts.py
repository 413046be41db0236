"""The reviews that speak in parts: a model, an item, before buying, drives, fixes."""

from collections.abc import Callable
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from kb.cli import desk, output, review_text
from kb.cli.options import Json

_DAY = ["%Y-%m-%d"]
Since = Annotated[datetime | None, typer.Option("--from", formats=_DAY, help="First day.")]
Until = Annotated[datetime | None, typer.Option(formats=_DAY, help="The day after the last.")]
Confidence = Annotated[float, typer.Option(help="Of each two-sided interval.")]
Out = Annotated[Path | None, typer.Option(help="Print it into this .pdf file.")]
Csv = Annotated[str | None, typer.Option("--csv", metavar="PART", help="A part's table as CSV.")]
Interest = Annotated[float, typer.Option(help="A year, 0.05 for 5 %.", min=0)]
Years = Annotated[int, typer.Option(help="For how long a new unit is kept.", min=1, max=50)]
Lead = Annotated[int, typer.Option(help="Days until a spare is replaced.", min=1, max=3650)]
Service = Annotated[float, typer.Option(help="Chance that the spares are enough.")]


class Way(StrEnum):
    """What models are ranked by."""

    RATE = "rate"
    MINUTES = "minutes"
    COST = "cost"
    FAILURES = "failures"


def add_to(group: typer.Typer) -> None:
    """Add the commands to the word `review`."""
    group.command("first")(first)
    group.command("model")(model)
    group.command("item")(item)
    group.command("buy")(buy)
    group.command("before")(before)
    group.command("drives")(drives)
    group.command("fixes")(fixes)
    group.command("replace")(replace)


def first(
    rank: Annotated[Way, typer.Option(help="What ranks them.")] = Way.RATE,
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Rank the models by rate, minutes lost, cost or failures.

    Example: kitlore review first --rank minutes
    """
    from kb.review import reviews

    def act(session: Any, settings: Any, shared: Any) -> Any:  # noqa: ANN401 - as it's called
        return reviews.what_first(session, settings, shared, rank.value)

    _review(act, (since, until, confidence), out, csv, as_json=as_json)


def model(
    name: Annotated[str, typer.Argument(help="The model.", metavar="MODEL")],
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    interest: Interest = 0.0,
    years: Years = 5,
    lead: Lead = 30,
    service: Service = 0.95,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Say all that the records say of one model.

    Example: kitlore review model "Granary 4" --out granary-4.pdf
    """
    from kb.review import reviews
    from kb.review.parts.costs import Plans

    plans = Plans(interest, years, lead, service)

    def act(session: Any, settings: Any, shared: Any) -> Any:  # noqa: ANN401 - as it's called
        return reviews.of_model(session, settings, shared, name, plans)

    _review(act, (since, until, confidence), out, csv, as_json=as_json)


def item(
    code: Annotated[str, typer.Argument(help="The item's code or name.", metavar="CODE")],
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Say all that the records say of one item.

    Example: kitlore review item MK-02
    """
    from kb.review import reviews

    def act(session: Any, settings: Any, shared: Any) -> Any:  # noqa: ANN401 - as it's called
        return reviews.of_item(session, settings, shared, code)

    _review(act, (since, until, confidence), out, csv, as_json=as_json)


def buy(
    sort: Annotated[
        str, typer.Argument(help="A class; of leads with the plugs.", metavar="CLASS")
    ],
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    interest: Interest = 0.0,
    years: Years = 5,
    lead: Lead = 30,
    service: Service = 0.95,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Set the models of a class side by side, with a verdict in words.

    Example: kitlore review buy "cable HDMI"
    """
    from kb.review import reviews
    from kb.review.parts.costs import Plans

    plans = Plans(interest, years, lead, service)

    def act(session: Any, settings: Any, shared: Any) -> Any:  # noqa: ANN401 - as it's called
        return reviews.before_buying(session, settings, shared, sort, plans)

    _review(act, (since, until, confidence), out, csv, as_json=as_json)


def before(
    name: Annotated[str, typer.Argument(help="A model, an item or a class.", metavar="NAME")],
    day: Annotated[
        datetime, typer.Argument(formats=_DAY, help="The first day of 'after'.", metavar="DAY")
    ],
    what: Annotated[str, typer.Option(help="What happened on it.")] = "that day",
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Compare before and after a day: a purchase, a rule, a step.

    Example: kitlore review before "Tern 14" 2026-03-19 --what "colour fix"
    """
    from kb.review import reviews

    def act(session: Any, settings: Any, shared: Any) -> Any:  # noqa: ANN401 - as it's called
        return reviews.hindsight_of(session, settings, shared, name, day.date(), what)

    _review(act, (since, until, confidence), out, csv, as_json=as_json)


def drives(
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Show how drives slow, and when they cross what is needed.

    Example: kitlore review drives --csv speed
    """
    from kb.review import reviews

    _review(reviews.of_drives, (since, until, confidence), out, csv, as_json=as_json)


def fixes(
    confidence: Confidence = 0.90,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Show how often fixes worked and held, the surest first.

    Example: kitlore review fixes
    """
    from kb.review import reviews

    _review(reviews.of_fixes, (None, None, confidence), out, csv, as_json=as_json)


def replace(
    code: Annotated[str, typer.Argument(help="The item's code or name.", metavar="CODE")],
    model: Annotated[str, typer.Argument(help="The model to buy.", metavar="MODEL")],
    price: Annotated[str, typer.Option(help="Of the new one; else the most paid.")] = "",
    repair: Annotated[str, typer.Option(help="What mending costs.")] = "",
    worth: Annotated[str, typer.Option(help="What the old one fetches now.")] = "",
    resale: Annotated[str, typer.Option(help="The new one's after each year: '900 600'.")] = "",
    old_resale: Annotated[str, typer.Option(help="The old one's after each year.")] = "",
    interest: Interest = 0.0,
    years: Years = 5,
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    out: Out = None,
    csv: Csv = None,
    as_json: Json = False,
) -> None:
    """Weigh mending an item against a new one, year by year.

    Example: kitlore review replace RC-01 "Granary 6" --price 1690 --repair 240
    """
    from kb.checking import check
    from kb.review import reviews
    from kb.review.parts.replacing import Offer

    said = {
        "price": price,
        "repair": repair,
        "worth": worth,
        "resale": resale,
        "old_resale": old_resale,
        "interest": interest,
        "years": years,
    }
    offer = check(Offer, said)

    def act(session: Any, settings: Any, shared: Any) -> Any:  # noqa: ANN401 - as it's called
        return reviews.mend_or_replace(session, settings, shared, code, model, offer)

    _review(act, (since, until, confidence), out, csv, as_json=as_json)


def _review(
    act: Callable[[Any, Any, Any], Any],
    asked: tuple[datetime | None, datetime | None, float],
    out: Path | None,
    csv: str | None,
    *,
    as_json: bool,
) -> None:
    """Make a review and show it in the form that was asked for."""
    from kb.review import gather

    place = desk.chosen()
    days: list[date | None] = [one.date() if one else None for one in asked[:2]]
    with desk.reading(place) as session:
        shared = gather.frame(
            session,
            place.settings,
            desk.now(place),
            since=days[0],
            until=days[1],
            confidence=asked[2],
        )
        found = act(session, place.settings, shared)
    if csv is not None:
        review_text.csv(found, csv)
    elif as_json:
        output.as_json(review_text.plain(found))
    else:
        review_text.show(found)
    if out is not None:
        review_text.print_into(found, out, place.folder.name)
