"""How the review reads in a terminal."""

from collections.abc import Sequence

from kb.cli import output
from kb.review.buying import Buying, Job
from kb.review.causes import HiddenCauses, Whereabouts
from kb.review.drives import DrivesWear
from kb.review.evidence import Evidence
from kb.review.hindsight import Hindsight
from kb.review.methods import rates
from kb.review.recovering import Recovery
from kb.review.spending import Spending


def show_class(found: Buying, currency: str) -> None:
    """Print the models of a class side by side, the verdict first."""
    output.say(
        f"{found.equipment_class}: failures per unit and year of 365.25 days, {found.since} up "
        f"to, not including, {found.until}; limits two-sided {rates.percent(found.confidence)}. "
        "Models by the lower limit of the shrunk rate.",
    )
    for job in found.jobs:
        output.say()
        output.emphasised(job.plugs or found.equipment_class)
        for text in job.verdict:
            output.say(f"- {text}")
        _models(job.models, currency)
        if job.batches:
            output.say()
            _models(job.batches, currency)
        _open(job)


def _models(rows: Sequence[Evidence], currency: str) -> None:
    output.table(
        ("Model", ">Units", ">Days", ">Fail.", ">Rate", ">Low", ">High", ">Cost"),
        [
            (
                one.name,
                one.units,
                f"{one.unit_days:,}",
                one.failures,
                f"{one.rate.rate:.2f}" if one.rate else "-",
                f"{one.rate.low:.2f}" if one.rate else "-",
                f"{one.rate.high:.2f}" if one.rate else "-",
                output.money(one.cost_minor, currency),
            )
            for one in rows
        ],
        "No unit.",
    )
    for one in rows:
        _more(one)


def _more(one: Evidence) -> None:
    parts = []
    if one.mean_time and one.mean_time.mean and one.mean_time.high:
        mean = one.mean_time
        parts.append(
            f"mean elapsed time between failures {mean.mean:.0f} days "
            f"({mean.low:.0f} to {mean.high:.0f})"
        )
    if one.trend:
        parts.append(f"{one.trend.words} over {one.trend.events} failures")
    if one.outlasting:
        share, low, high = (100 * each for each in one.outlasting)
        parts.append(f"{share:.0f} % outlast a year ({low:.0f} to {high:.0f} %, n {one.units})")
    if one.warranty:
        parts.append(f"warranty open on {', '.join(one.warranty)}")
    if one.left_out:
        parts.append(f"left out, no in-service date: {', '.join(one.left_out)}")
    if parts:
        output.say(f"- {one.name}: {'; '.join(parts)}.")


def _open(job: Job) -> None:
    for one in job.compared:
        if one.settles:
            output.say(f"- {one.words} What would settle it: {one.settles}")


def show_causes(hidden: HiddenCauses, where: Whereabouts) -> None:
    """Print what caused the faults, and whether they follow the unit."""
    output.say(hidden.words)
    output.table(
        ("Fault", "Day", "Seen on", "Caused by", "Reported"),
        [(one.number, one.day, one.seen, one.cause, one.text) for one in hidden.hidden],
        "None is hidden behind another thing.",
    )
    output.say()
    output.table(
        ("Three months from", ">Seen", ">Their own"),
        [(one.since, one.seen, one.own) for one in hidden.quarters],
        "No time.",
    )
    output.say()
    output.say(where.words)
    output.table(
        ("Unit", ">Failures", ">Unit-days"),
        [(one.name, one.failures, f"{one.unit_days or 0:,}") for one in where.units],
        "No unit failed.",
    )
    if where.places:
        output.say()
        output.table(
            ("Where", ">Failures", ">Units"),
            [(one.name, one.failures, one.others) for one in where.places],
            "",
        )


def show_hindsight(found: Hindsight) -> None:
    """Print before and after."""
    output.emphasised(f"{found.day}  {found.title}")
    output.say(found.words)
    output.table(
        ("", ">Counted", ">Unit-days", ">Rate", ">Low", ">High"),
        [
            (
                name,
                one.failures,
                f"{one.exposure * rates.DAYS_A_YEAR:,.0f}",
                f"{one.rate:.2f}",
                f"{one.low:.2f}",
                f"{one.high:.2f}",
            )
            for name, one in (("before", found.before), ("after", found.after))
        ],
        "",
    )
    output.say(f"Counted: {found.counted} on {', '.join(found.things)}.")


def show_drives(found: DrivesWear) -> None:
    """Print each drive's write speed."""
    if found.needed:
        output.say(f"Needed: {found.needed / 1e6:.4g} MB/s sustained.")
    for one in found.drives:
        gone = "" if one.in_use else " (out of use)"
        output.say(f"- {one.name} ({one.model}){gone}: {one.words}")
    if not found.drives:
        output.say("No drive was tested. 'kitlore drive test' writes one down.")


def show_repairs(rows: Sequence[Recovery]) -> None:
    """Print how models come back; of drives the annualised failure rate by age too."""
    for one in rows:
        output.emphasised(one.model)
        for text in one.words:
            output.say(f"- {text}")
        for band in one.bands:
            if band.annualised:
                rate = band.annualised.rate
                age = (
                    f"{band.since:g} to {band.until:g}"
                    if band.until
                    else f"{band.since:g} or more"
                )
                output.say(
                    f"- {age} days old: {100 * rate.rate:.0f} % a year of 365 days (two-sided "
                    f"{rates.percent(rate.confidence)} {100 * rate.low:.0f} to "
                    f"{100 * rate.high:.0f} %, {band.failures} failures in {band.drive_days:,.0f} "
                    "drive-days)."
                )


def show_money(rows: Sequence[Spending], currency: str) -> None:
    """Print what failures cost."""
    output.say(f"Money in {currency}: minutes lost at the room's rate, and services paid for.")
    output.table(
        ("Model", ">Fail.", ">Minutes", ">Each", ">Unit-year", ">Price a year"),
        [
            (
                one.model,
                one.failures,
                one.minutes,
                _plain(one.per_failure_minor),
                _plain(one.per_unit_year_minor),
                _plain(one.price_unit_year_minor),
            )
            for one in rows
        ],
        "No unit.",
    )
    for one in rows:
        if one.stock:
            output.say(f"- {one.model}: {one.words}")


def _plain(minor: int | None) -> str:
    return "-" if minor is None else f"{minor / 100:,.2f}"
