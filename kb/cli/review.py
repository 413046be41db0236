"""`review`: what keeps failing, before buying."""

import typer

from kb.cli import desk, output, review_parts
from kb.cli.options import Json
from kb.cli.review_parts import Confidence, Since, Until
from kb.review.report import ModelReview, ModelRow

_NOT_COUNTED = 50


def add_to(app: typer.Typer) -> None:
    """Add the word `review`."""
    group = typer.Typer(help="What keeps failing, before buying.", no_args_is_help=True)
    group.command("models")(models)
    review_parts.add_to(group)
    app.add_typer(group, name="review")


def models(
    since: Since = None,
    until: Until = None,
    confidence: Confidence = 0.90,
    as_json: Json = False,
) -> None:
    """Show how often each model fails, with exact limits.

    Failures are counted per unit and year of 365.25 days.

    Example: kitlore review models --from 2025-05-01 --until 2026-11-01
    """
    from kb.review import report

    place = desk.chosen()
    with desk.reading(place) as session:
        found = report.review_models(
            session,
            place.settings,
            desk.now(place),
            since=since.date() if since else None,
            until=until.date() if until else None,
            confidence=confidence,
        )
    if as_json:
        output.as_json(_plain(found))
    else:
        _show(found)


def _plain(found: ModelReview) -> dict[str, object]:
    """Return the review in the form that scripts rely on."""
    return {
        "from": found.since,
        "until": found.until,
        "confidence": found.confidence,
        "models": [
            {"model": row.model, "class": row.equipment_class, **_figures(row)}
            for row in found.models
        ],
        "left_out": found.left_out,
        "not_counted": found.not_counted,
    }


def _figures(row: ModelRow) -> dict[str, object]:
    names = ("units", "unit_days", "failures", "rate", "low", "high", "in_words")
    return {name: getattr(row, name) for name in names}


def _show(found: ModelReview) -> None:
    share = f"{100 * found.confidence:.10g} %"
    output.say(
        f"Failures per unit and year of 365.25 days, {found.since} up to, not including, "
        f"{found.until}; limits: exact two-sided {share}.",
    )
    output.table(
        ("Model", "Class", ">Units", ">Unit-days", ">Fail.", ">Rate", ">Low", ">High"),
        [
            (
                row.model,
                row.equipment_class,
                row.units,
                f"{row.unit_days:,}",
                row.failures,
                f"{row.rate:.2f}",
                f"{row.low:.2f}",
                f"{row.high:.2f}",
            )
            for row in found.models
            if row.failures
        ],
        "No model failed in this time.",
    )
    quiet = [row for row in found.models if not row.failures]
    if quiet:
        output.say()
        output.emphasised("Without a failure")
        for row in quiet:
            output.say(f"- {row.model} ({output.counted(row.units, 'unit')}): {row.in_words}")
    for title, rows in (("Left out", found.left_out), ("Not counted", found.not_counted)):
        if rows:
            output.say()
            output.emphasised(title)
        for one in rows[:_NOT_COUNTED]:
            day = f" on {one.day}" if one.day else ""
            output.say(f"- {one.item} ({one.model or 'no model'}){day}: {one.reason}")
        if len(rows) > _NOT_COUNTED:
            output.say(f"- and {len(rows) - _NOT_COUNTED:,} more; --json prints them all.")
