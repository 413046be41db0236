"""What a review says, whatever shows it: sentences, tables and charts in parts.

Terminal, page, printed paper, CSV and JSON show the same parts, so that none can drift.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite

from kb.review.facts import Frame
from kb.review.methods import rates

Value = str | int | float | date | None
FORMS = ("text", "count", "rate", "share", "money", "day", "p", "ratio", "number", "minutes")


@dataclass(frozen=True)
class Column:
    """A column: its heading, and the form of what stands in it (one of `FORMS`)."""

    name: str
    form: str = "text"

    @property
    def is_number(self) -> bool:
        """Whether it's set to the right."""
        return self.form not in {"text", "day"}


@dataclass(frozen=True)
class Table:
    """Rows under their columns; values are plain, so that a sheet can compute with them.

    Attributes:
        columns: What stands where.
        rows: What stands under them.
        is_said: The sentences beside it say the same, so that a narrow terminal can do without.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    is_said: bool = False

    def told(self) -> tuple[tuple[str, ...], ...]:
        """Return the rows as they are told."""
        return tuple(
            tuple(
                shown(value, column.form) for value, column in zip(row, self.columns, strict=True)
            )
            for row in self.rows
        )

    def named(self) -> list[dict[str, Value]]:
        """Return the rows as plain values by the name of their column; no limit is none."""
        names = [column.name for column in self.columns]
        return [
            dict(zip(names, (_finite(value) for value in row), strict=True)) for row in self.rows
        ]

    def as_texts(self) -> tuple[list[str], list[dict[str, str]]]:
        """Return the columns' names, and the rows as texts with all digits, for a sheet."""
        names = [column.name for column in self.columns]
        rows = [
            {name: "" if value is None else str(value) for name, value in row.items()}
            for row in self.named()
        ]
        return names, rows


@dataclass(frozen=True)
class Interval:
    """A value with its limits, and what it's the value of."""

    name: str
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Bar:
    """A value as a bar, and what is written at its end."""

    name: str
    value: float
    told: str


@dataclass(frozen=True)
class Steps:
    """A curve that steps, with its limits; before its first step it's at `begin`."""

    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    start: float
    begin: float = 0.0


@dataclass(frozen=True)
class Points:
    """What was measured on days, and the line through it; None where there is no line.

    Attributes:
        name: What it was measured on.
        days: When.
        values: What.
        line_days: Where the line is told.
        line: Its height.
        low: Lower limit of the line.
        high: Upper limit of the line.
    """

    name: str
    days: tuple[date, ...]
    values: tuple[float, ...]
    line_days: tuple[date, ...] = ()
    line: tuple[float, ...] = ()
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(frozen=True)
class Chart:
    """A chart; the table beside it holds the same figures.

    Attributes:
        axis: What its main axis says, with the unit.
        intervals: Values with limits, the first on top.
        bars: Values without, the first on top: sums, which have none.
        steps: Curves.
        points: Measurements.
        limit: A level to draw across; None for none.
        across: What the other axis says.
    """

    axis: str
    intervals: tuple[Interval, ...] = ()
    bars: tuple[Bar, ...] = ()
    steps: tuple[Steps, ...] = ()
    points: tuple[Points, ...] = ()
    limit: float | None = None
    across: str = ""


@dataclass(frozen=True)
class Part:
    """A part of a review.

    Attributes:
        key: Its name in an address and in JSON.
        title: Its heading.
        sentences: What it says.
        table: Its figures; None where a sentence says all.
        chart: Its chart; None where there is nothing to draw.
        line: What the figures mean and rest on, and why another isn't shown.
    """

    key: str
    title: str
    sentences: tuple[str, ...] = ()
    table: Table | None = None
    chart: Chart | None = None
    line: str = ""


@dataclass(frozen=True)
class Review:
    """A review of some units.

    Attributes:
        title: What it's of.
        frame: What its figures share.
        parts: What it says.
    """

    title: str
    frame: Frame
    parts: tuple[Part, ...]

    @property
    def basis(self) -> str:
        """What it rests on, so that it can be made again."""
        frame = self.frame
        return (
            f"{frame.window.since} up to, not including, {frame.window.until}; limits two-sided "
            f"{rates.percent(frame.confidence)}; log began {frame.began}; records {frame.version}."
        )

    def part(self, key: str) -> Part | None:
        """Return a part by its key."""
        return next((one for one in self.parts if one.key == key), None)


def shown(value: Value, form: str = "text") -> str:
    """Return a value as it's told; an empty text where there is none."""
    if value is None:
        return ""
    if isinstance(value, str | date):
        return str(value)
    if not isfinite(value):
        return "no limit"
    return _FORMS.get(form, _plain)(value)


def limits(low: float | None, high: float | None, form: str) -> str:
    """Return limits as they are told: 'low to high'."""
    return f"{shown(low, form)} to {shown(high, form) if high is not None else 'no limit'}"


def counted(number: int, one: str, several: str | None = None) -> str:
    """Return a number with its noun."""
    return f"{number:,} {one if number == 1 else several or one + 's'}"


def listed(names: Sequence[str], most: int = 8) -> str:
    """Return names in a row, the rest counted."""
    rest = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + rest


def _finite(value: Value) -> Value:
    return None if isinstance(value, float) and not isfinite(value) else value


def _plain(value: float) -> str:
    return f"{value:,.4g}"


def _p(value: float) -> str:
    least = 0.001
    return f"{value:.3f}" if value >= least else "< 0.001"


_FORMS: Mapping[str, Callable[[float], str]] = {
    "count": lambda value: f"{value:,.0f}",
    "rate": lambda value: f"{value:,.2f}",
    "ratio": lambda value: f"{value:,.2f}",
    "share": lambda value: f"{100 * value:.0f} %",
    "money": lambda value: f"{value / 100:,.2f}",
    "minutes": lambda value: f"{value:,.0f}",
    "number": lambda value: f"{value:,.1f}",
    "p": _p,
}
