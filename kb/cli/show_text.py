"""How shows read in the terminal."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from kb.cli import output
from kb.gear.shows import ShowLine

_HOUR = 60


def lines(found: Sequence[ShowLine], zone: ZoneInfo) -> None:
    """Print shows as a table."""
    output.table(
        (">No", "Air", "Set-up", "Ends", "Title", "Place", "Note"),
        [
            (
                one.number,
                output.local(one.air_at, zone),
                output.clock_near(one.set_up_from, one.air_at, zone),
                output.clock_near(one.ends_at, one.air_at, zone),
                one.title,
                one.place,
                "called off" if one.cancelled_at else "" if one.kind == "show" else one.kind,
            )
            for one in found
        ],
        "No show in that time. Plan one: kitlore show add TITLE --air TIME",
    )


def next_one(found: ShowLine | None, minutes: int | None, zone: ZoneInfo) -> None:
    """Print the next show and how long it is until then."""
    if found is None or minutes is None:
        output.say("No show is planned.")
        return
    hours, rest = divmod(minutes, _HOUR)
    output.emphasised(f"{found.title}: {f'{hours} h ' if hours else ''}{rest} min to air")
    output.facts(
        {
            "Number": found.number,
            "Kind": found.kind,
            "Air": output.local(found.air_at, zone),
            "Set-up from": output.local(found.set_up_from, zone),
            "Ends": output.local(found.ends_at, zone),
            "Place": found.place,
            "Version": found.version,
        },
    )
