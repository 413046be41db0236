"""How faults read in the terminal."""

from collections.abc import Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from kb.cli import find_text, output
from kb.faults.views import FaultLine, FaultPage
from kb.search.listing import Hit

_SHORT = 40


def logged(number: int, fitting: Sequence[Hit]) -> None:
    """Print that a fault was logged, and the entries that fit, each with its first fix."""
    output.emphasised(f"Fault {number} is logged.")
    if not fitting:
        output.say("No entry fits these words.")
    for hit in fitting:
        stored: Mapping[str, Any] = hit.stored
        output.say(f"- {hit.title} ({hit.key})")
        for caution in stored["first_acts"]["cautions"]:
            output.say(f"! Caution: {caution}", "  ")
        for step in stored["first_acts"]["steps"]:
            output.say(f"First: {step}", "  ")
        if stored["fixes"]:
            fix = stored["fixes"][0]
            output.say(f"{fix['title']} ({fix['key']}), {find_text.lasting(fix['takes_s'])}", "  ")
    if fitting:
        output.say(f"All steps: kitlore entries see {fitting[0].key}")
    output.say(f"Tried something? kitlore fault try {number} FIX --entry SLUG --worked")


def lines(found: Sequence[FaultLine], zone: ZoneInfo) -> None:
    """Print faults as a table."""
    output.table(
        (">No", "Noticed", "State", "Where", "Reported"),
        [
            (
                one.number,
                output.local(one.noticed_at, zone),
                one.state.value,
                one.item or one.place,
                one.text if len(one.text) <= _SHORT else one.text[: _SHORT - 1] + "…",
            )
            for one in found
        ],
        "No fault.",
    )


def page(found: FaultPage, zone: ZoneInfo) -> None:
    """Print a fault with what was tried."""
    line = found.line
    output.emphasised(f"Fault {line.number}: {line.state.value}")
    output.facts(
        {
            "Reported": line.text,
            "By": line.reporter,
            "Noticed": output.local(line.noticed_at, zone),
            "Seen on": f"{line.item} ({line.code})" if line.item else "",
            "End": found.end,
            "At": line.place,
            "Effect": line.effect,
            "Minutes lost": line.minutes_lost,
            "Entry": line.entry,
            "Restored": output.local(found.restored_at, zone),
            "Came back": output.local(found.reopened_at, zone),
            "Closed": output.local(found.closed_at, zone),
            "Cause": line.cause_kind,
            "Cause item": line.cause_item or ("none of ours" if line.cause_kind else ""),
            "Cause in words": found.cause_note,
            "Version": found.version,
        },
    )
    output.say()
    output.table(
        (">No", "When", "By", "Tried", "Outcome"),
        [
            (
                one.number,
                output.local(one.at, zone),
                one.by,
                (f"{one.entry}: {one.fix}" if one.fix else one.what)
                + (f" (struck out: {one.struck})" if one.struck else ""),
                one.outcome,
            )
            for one in found.attempts
        ],
        "Nothing was tried yet.",
    )
