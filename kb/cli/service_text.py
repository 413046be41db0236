"""How services read in the terminal."""

from collections.abc import Sequence
from datetime import date
from zoneinfo import ZoneInfo

from kb.cli import output
from kb.gear.upkeep import ServiceLine
from kb.records.settings import Settings


def lines(found: Sequence[ServiceLine], zone: ZoneInfo) -> None:
    """Print the services of an item as a table."""
    output.table(
        (">No", "When", "Kind", "Result", "Work", "Next due"),
        [
            (one.number, output.day(one.at, zone), one.kind, one.result, one.work, one.next_due)
            for one in found
        ],
        "No service yet.",
    )


def page(found: Sequence[ServiceLine], settings: Settings) -> None:
    """Print one service and what was found on each of its items."""
    first = found[0]
    output.emphasised(f"Service {first.number}: {first.kind}")
    output.facts(
        {
            "Work": first.work,
            "When": output.local(first.at, settings.timezone),
            "By": first.tester,
            "Cost": output.money(first.cost_minor, settings.currency),
            "Next due": first.next_due,
            "Fault": first.fault,
            "Version": first.version,
        },
    )
    output.say()
    output.table(
        ("Item", "Result", "Note"),
        [(one.name, one.result, one.note) for one in found],
        "It has no item.",
    )


def due(found: Sequence[ServiceLine], day: date) -> None:
    """Print what is due again by a day."""
    output.table(
        ("Due", "Item", "Kind", "Last work"),
        [(one.next_due, one.name, one.kind, one.work) for one in found],
        f"Nothing is due by {day}.",
    )
