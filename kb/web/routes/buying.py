"""The review before buying: a class, its charts, CSV and PDF; drives, hindsight, never again."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.exchange import csv_form
from kb.records.workspace import Workspace
from kb.review import (
    buying,
    causes,
    charts,
    drives,
    fleet,
    hindsight,
    pictures,
    printed,
    recovering,
    spending,
    watched,
)
from kb.review.drives import DriveWear
from kb.review.fleet import Fleet
from kb.review.methods.rates import Rate
from kb.web import pages
from kb.web.depends import Now, Place, Reading
from kb.web.shown_buying import (
    ClassPage,
    DrivesPage,
    HindsightPage,
    MostPage,
    NeverPage,
    StepsPage,
)

router = APIRouter(include_in_schema=False)
_SVG = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}
_CONFIDENCE = 0.9


@router.get("/review/class/{kind}")
def of_class(request: Request, session: Reading, place: Place, now: Now, kind: str) -> Response:
    """Show the models of a class side by side."""
    found, told = _told(session, place, now, kind)
    page = ClassPage(
        told=told,
        address=f"/review/class/{quote(kind)}",
        hidden=causes.hidden_causes(found),
        where=causes.whereabouts(found),
        money=spending.spending(session, found, minute_cost=place.settings.minute_cost),
        repairs=recovering.recovery(session, place.settings, now, found),
        currency=place.settings.currency,
    )
    return pages.show(request, "review_class.html", page)


@router.get("/review/class/{kind}/rates.svg")
def class_rates(
    session: Reading, place: Place, now: Now, kind: str, plugs: str = "", theme: str = "dark"
) -> Response:
    """Draw the rates of a job's models and batches."""
    _, told = _told(session, place, now, kind)
    found = [row for job in told.jobs if job.plugs == plugs for row in pictures.rates_of(job)]
    return _svg(charts.intervals(found, "failures per unit and year, 90 % limits", _theme(theme)))


@router.get("/review/class/{kind}/curve.svg")
def class_curve(
    session: Reading, place: Place, now: Now, kind: str, plugs: str = "", theme: str = "dark"
) -> Response:
    """Draw how many failures a unit has had by an age, or how many outlast it."""
    found, _ = _told(session, place, now, kind)
    series, survival = pictures.curves_of(found, plugs, _CONFIDENCE)
    upwards = "share that outlasts it" if survival else "failures a unit has had"
    say = ("days since it was put in service", f"{upwards}, 90 % limits")
    return _svg(charts.curves(series, say, _theme(theme)))


@router.get("/review/class/{kind}/table.csv")
def class_table(session: Reading, place: Place, now: Now, kind: str) -> Response:
    """Give the figures of a class for a spreadsheet."""
    _, told = _told(session, place, now, kind)
    names = ("job", "model", "units", "unit_days", "failures", "rate", "low", "high")
    rows = [
        (job.plugs, one.name, one.units, one.unit_days, one.failures, *_rate(one.rate))
        for job in told.jobs
        for one in (*job.models, *job.batches)
    ]
    return _csv(names, rows, f"review-{kind}.csv")


@router.get("/review/class/{kind}/report.pdf")
def class_report(session: Reading, place: Place, now: Now, kind: str) -> Response:
    """Print the report of a class."""
    _, told = _told(session, place, now, kind)
    file = printed.class_report(told, watched.data_version(session))
    headers = {"Content-Disposition": f'inline; filename="review-{kind}.pdf"'}
    return Response(file, media_type="application/pdf", headers=headers)


@router.get("/review/most")
def most(request: Request, session: Reading, place: Place, now: Now, by: str = "cost") -> Response:
    """Show which models come to most, by rate, cost or minutes."""
    rows = _spent(session, place, now)
    page = MostPage(by, spending.ranked(rows, by), rows, place.settings.currency)
    return pages.show(request, "review_most.html", page)


@router.get("/review/most.svg")
def most_chart(
    session: Reading, place: Place, now: Now, by: str = "cost", theme: str = "dark"
) -> Response:
    """Draw which models come to most."""
    rows = _spent(session, place, now)
    page = MostPage(by, spending.ranked(rows, by), rows, place.settings.currency)
    scale, axis = page.drawn
    shown = [(one.name, one.value / scale) for one in page.bars if one.value]
    if by == "rate":
        return _svg(charts.intervals(pictures.rates_by(page.bars, rows), axis, _theme(theme)))
    return _svg(charts.bars(shown, axis, _theme(theme)))


@router.get("/review/drives")
def drive_speeds(request: Request, session: Reading, place: Place, now: Now) -> Response:
    """Show when each drive's write speed falls too low."""
    found = drives.wear_of(session, place.settings, now)
    return pages.show(request, "review_drives.html", DrivesPage(found))


@router.get("/review/drives/speed.svg")
def drive_chart(session: Reading, place: Place, now: Now, theme: str = "dark") -> Response:
    """Draw the write speeds of the drives that slow."""
    found = drives.wear_of(session, place.settings, now)
    level = found.needed / 1e6 if found.needed else None
    say = ("month", "sustained write speed, MB/s")
    series = pictures.speeds_of(found)
    return _svg(charts.curves(series, say, _theme(theme), steps=False, level=level, days=True))


@router.get("/review/drives/table.csv")
def drive_table(session: Reading, place: Place, now: Now) -> Response:
    """Give each drive's trend for a spreadsheet."""
    found = drives.wear_of(session, place.settings, now)
    names = ("drive", "model", "tests", "last", "loss", "low", "high", "day", "earliest", "latest")
    rows = [
        (one.name, one.model, len(one.tests), one.tests[-1].rate, one.loss, *_limits(one))
        for one in found.drives
    ]
    return _csv(names, rows, "review-drives.csv")


@router.get("/review/hindsight")
def steps(request: Request, session: Reading, place: Place) -> Response:
    """List the services that hindsight can be asked about."""
    found = hindsight.services(session, place.settings)
    return pages.show(request, "review_steps.html", StepsPage(found))


@router.get("/review/hindsight/{number}")
def step(request: Request, session: Reading, place: Place, now: Now, number: int) -> Response:
    """Show before and after a service."""
    found = hindsight.of_service(session, place.settings, now, number)
    return pages.show(request, "review_step.html", HindsightPage(number, found))


@router.get("/review/never")
def never(request: Request, session: Reading, place: Place, now: Now) -> Response:
    """Show the models not to buy again."""
    found = buying.never_again(fleet.fetch(session, place.settings, now))
    return pages.show(request, "review_never.html", NeverPage(found))


def _told(
    session: Session, place: Workspace, now: datetime, kind: str
) -> tuple[Fleet, buying.Buying]:
    found = fleet.fetch(session, place.settings, now, equipment_class=kind)
    cost = place.settings.minute_cost
    return found, buying.before_buying(found, kind, minute_cost=cost, confidence=_CONFIDENCE)


def _spent(session: Session, place: Workspace, now: datetime) -> tuple[spending.Spending, ...]:
    found = fleet.fetch(session, place.settings, now)
    return spending.spending(session, found, minute_cost=place.settings.minute_cost)


def _theme(name: str) -> charts.Theme:
    return charts.LIGHT if name == "light" else charts.DARK


def _svg(picture: bytes) -> Response:
    return Response(picture, headers=_SVG, media_type="image/svg+xml")


def _rate(found: Rate | None) -> tuple[float | None, float | None, float | None]:
    return (found.rate, found.low, found.high) if found else (None, None, None)


def _limits(one: DriveWear) -> tuple[object, ...]:
    return one.loss_low, one.loss_high, one.crosses, one.earliest, one.latest


def _csv(names: Sequence[str], rows: Iterable[Sequence[object]], file: str) -> Response:
    told = (
        {name: "" if cell is None else str(cell) for name, cell in zip(names, row, strict=True)}
        for row in rows
    )
    headers = {"Content-Disposition": f'attachment; filename="{file}"'}
    return Response(csv_form.written(names, told), media_type="text/csv", headers=headers)
