"""How links read in the terminal."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from kb.cli import output
from kb.gear.paths import PathLine


def show(up: Sequence[PathLine], down: Sequence[PathLine], zone: ZoneInfo) -> None:
    """Print what feeds an item and what it feeds, the nearest first."""
    _part("What feeds it", up, zone)
    output.say()
    _part("What it feeds", down, zone)


def _part(title: str, found: Sequence[PathLine], zone: ZoneInfo) -> None:
    output.emphasised(title)
    output.table(
        (">Step", ">Link", "From", "To", "Cable", "Since"),
        [
            (
                one.depth,
                one.link.number,
                f"{one.link.from_item} {one.link.from_port}",
                f"{one.link.to_item} {one.link.to_port}",
                one.link.cable or "(no label)",
                output.day(one.link.since, zone),
            )
            for one in found
        ],
        "Nothing.",
    )
