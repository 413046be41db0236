"""How an answer reads in the terminal: the first entry whole, the others a line each."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from kb.cli import output
from kb.entries import outcomes
from kb.search.listing import Hit
from kb.search.query import Answer

_INTERRUPTS = {
    "none": "interrupts nothing",
    "this source": "interrupts this source",
    "whole show": "INTERRUPTS THE WHOLE SHOW",
}


def show(found: Answer, now: datetime, zone: ZoneInfo) -> None:
    """Print an answer.

    Args:
        found: The answer.
        now: The time now, for evidence that is still young.
        zone: The zone that days are told in.
    """
    entries = [hit for hit in found.hits if hit.kind == "entry"]
    others = [hit for hit in found.hits if hit.kind != "entry"]
    if not found.confident:
        output.say(
            "Nothing sure. " + ("Nearest to it:" if entries else "No entry has these words.")
        )
        output.say('Log it anyway: kitlore log CODE "what you see"')
    if entries:
        show_entry(entries[0], now, zone)
    if entries[1:]:
        output.say()
        output.emphasised("It may also be")
        for hit in entries[1:]:
            output.say(f"- {hit.title} ({hit.key})")
    for title, kind in (("Gear", "item"), ("Past faults", "fault")):
        listed = [hit for hit in others if hit.kind == kind]
        if listed:
            output.say()
            output.emphasised(title)
            for hit in listed:
                output.say(f"- {_other(hit, zone)}")


def show_entry(hit: Hit, now: datetime, zone: ZoneInfo) -> None:
    """Print an entry whole: first acts, then each fix with its steps."""
    stored: Mapping[str, Any] = hit.stored
    output.say()
    output.emphasised(hit.title)
    output.say(f"{stored['area']}; {hit.key}; found by: {', '.join(hit.why)}")
    _section("First", stored["first_acts"])
    for number, fix in enumerate(stored["fixes"], 1):
        _fix(str(number), fix, now, zone)
    if stored["swap"]:
        _fix("or swap", stored["swap"], now, zone)


def _fix(mark: str, fix: Mapping[str, Any], now: datetime, zone: ZoneInfo) -> None:
    output.say()
    output.emphasised(f"{mark}. {fix['title']} ({fix['key']})")
    times = lasting(fix["takes_s"])
    if fix.get("at_worst_s"):
        times += f", at worst {lasting(fix['at_worst_s'])}"
    told = [
        times,
        _INTERRUPTS.get(fix.get("disruption", ""), ""),
        outcomes.kept_in_words(fix["evidence"], now, zone),
    ]
    output.say("; ".join(filter(None, told)), "   ")
    _lines(fix)


def _section(title: str, section: Mapping[str, Any]) -> None:
    if section["steps"] or section["cautions"]:
        output.say()
        output.emphasised(title)
        _lines(section)


def _lines(section: Mapping[str, Any]) -> None:
    for caution in section["cautions"]:
        output.say(f"! Caution: {caution}", "   ")
    for number, step in enumerate(section["steps"], 1):
        output.say(f"{number}. {step}", "   ")
    if section["see"]:
        output.say(f"You should see: {section['see']}", "   ")
    if section["stop"]:
        output.say(f"Stop when: {section['stop']}", "   ")


def lasting(seconds: float) -> str:
    """Return a duration in words: '30 s', '1 min 30 s'."""
    minutes, rest = divmod(round(seconds), 60)
    parts = [f"{minutes} min"] if minutes else []
    return " ".join(parts + ([f"{rest} s"] if rest or not minutes else []))


def _other(hit: Hit, zone: ZoneInfo) -> str:
    stored: Mapping[str, Any] = hit.stored
    if hit.kind == "item":
        return f"{hit.title}, {stored['state']}, {stored['place'] or 'no place'}"
    noticed = datetime.fromisoformat(stored["noticed_at"]).astimezone(zone)
    where = stored["item"] or stored["place"]
    cause = f" -> {stored['cause']}" if stored["cause"] else ""
    return f"{noticed:%Y-%m-%d} {where}: {hit.title}{cause} (fault {hit.key})"
