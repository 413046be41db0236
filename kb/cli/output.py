"""What a command prints: a table, lines or JSON; 80 columns unless the terminal is wider."""

import json
import os
import shutil
import sys
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, is_dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

import typer

WIDTH = 80


def width() -> int:
    """Return how many columns there are to print in."""
    if not sys.stdout.isatty():
        return WIDTH
    return max(40, shutil.get_terminal_size((WIDTH, 24)).columns)


def coloured() -> bool:
    """Return whether colours may be used: on a terminal, and not where NO_COLOR is set."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")


def say(text: str = "", indent: str = "") -> None:
    """Print a text, folded to the columns there are; paths and slugs stay whole."""
    for line in text.split("\n"):
        folded = textwrap.wrap(
            line,
            width(),
            initial_indent=indent,
            subsequent_indent=indent + _hang(line),
            break_long_words=False,
            break_on_hyphens=False,
        )
        typer.echo("\n".join(folded))


def emphasised(text: str) -> None:
    """Print a line that leads a part."""
    typer.echo(typer.style(text, bold=True) if coloured() else text)


def as_json(value: object) -> None:
    """Print a value as JSON: dataclasses as objects, times in ISO 8601."""
    typer.echo(json.dumps(value, default=_plain, indent=2, ensure_ascii=False))


def table(columns: Sequence[str], rows: Iterable[Sequence[object]], empty: str) -> None:
    """Print rows under their columns, or a sentence where there are none.

    Args:
        columns: The headings; one with a leading '>' is of numbers, set to the right.
        rows: What stands under them.
        empty: The sentence.
    """
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    listed = [[_cell(value) for value in row] for row in rows]
    if not listed:
        say(empty)
        return
    drawn = Table(box=None, pad_edge=False, show_edge=False)
    for name in columns:
        drawn.add_column(
            name.removeprefix(">"),
            justify="right" if name.startswith(">") else "left",
            no_wrap=name.startswith(">"),
            overflow="fold",
        )
    for row in listed:
        drawn.add_row(*(Text(cell) for cell in row))
    plain = not coloured()
    Console(width=width(), no_color=plain, highlight=False, force_terminal=not plain).print(drawn)


def facts(pairs: Mapping[str, object]) -> None:
    """Print names and what stands for them, one a line; what is empty is left out."""
    kept = {name: _cell(value) for name, value in pairs.items() if _cell(value)}
    wide = max((len(name) for name in kept), default=0) + 2
    for name, value in kept.items():
        lines = [
            part
            for line in value.split("\n")
            for part in textwrap.wrap(line, width() - wide, break_on_hyphens=False)
        ]
        for number, line in enumerate(lines):
            typer.echo(f"{name if number == 0 else '':{wide}}{line}")


def local(value: datetime | None, zone: ZoneInfo) -> str:
    """Return a time as it's shown in the workspace's zone; empty for none."""
    return f"{value.astimezone(zone):%Y-%m-%d %H:%M}" if value else ""


def clock_near(value: datetime | None, other: datetime, zone: ZoneInfo) -> str:
    """Return a time that stands beside another one: of the same day without its date."""
    if value is not None and day(value, zone) == day(other, zone):
        return f"{value.astimezone(zone):%H:%M}"
    return local(value, zone)


def day(value: datetime, zone: ZoneInfo) -> str:
    """Return the day that a time falls on in the workspace's zone."""
    return f"{value.astimezone(zone):%Y-%m-%d}"


def money(minor: int | None, currency: str) -> str:
    """Return an amount of minor units as it's shown: '12.50 EUR'; empty for none."""
    return "" if minor is None else f"{minor // 100:,}.{minor % 100:02} {currency}"


def counted(number: int, one: str, several: str | None = None) -> str:
    """Return a number with its noun: '1 label', '2 labels', '3 entries'."""
    return f"{number} {one if number == 1 else several or f'{one}s'}"


def pairs(values: Mapping[str, object]) -> str:
    """Return names and values on one line, as they are typed."""
    return ", ".join(f"{name}={value}" for name, value in values.items())


def _cell(value: object) -> str:
    return "" if value is None else str(value)


def _hang(line: str) -> str:
    """Return the indent of a folded line's rest: below its text where it begins with a mark."""
    head = line.split(" ", 1)[0]
    numbered = head.endswith(".") and head[:-1].isdigit()
    return " " * (len(head) + 1) if numbered or head in ("-", "!") else ""


def _plain(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    if isinstance(value, date):
        return value.isoformat()
    return str(value)
