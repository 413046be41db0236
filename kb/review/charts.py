"""Charts of the review by Matplotlib, in the colours of the dark or light page or of paper."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.dates import AutoDateFormatter, AutoDateLocator
from matplotlib.figure import Figure
from reportlab.pdfgen.canvas import Canvas

from kb.review import vector
from kb.review.paper import Bar, Chart, Interval, Points, Steps

_ONE = Lock()
_MOST = 20
_DATES = 7
_INCHES_A_ROW = 0.34
_WIDTH = 8.0
_ROOM = 1.1
_HEIGHT = 3.8


@dataclass(frozen=True)
class Theme:
    """The colours of a page: ground, ink, soft ink, what the eye shall find, and lines apart."""

    ground: str
    ink: str
    soft: str
    mark: str
    lines: tuple[str, ...]


DARK = Theme(
    *("#12100e", "#f6f1ea", "#8f867a", "#ffc46b"),
    ("#ffc46b", "#86e3c7", "#a9d4ff", "#ff9a93", "#d9b8ff", "#cfe36b"),
)
LIGHT = Theme(
    *("#fbf8f3", "#1b1713", "#7a7166", "#5a3a00"),
    ("#8a4b00", "#00694f", "#0b4f95", "#a01818", "#6a34a8", "#566300"),
)
PAPER = Theme("#ffffff", "#000000", "#cccccc", "#0b4f95", LIGHT.lines)
_MARKS = "os^DvP*X"


def drawn(chart: Chart, theme: Theme) -> bytes:
    """Return a chart as SVG.

    Args:
        chart: What to draw; its first kind that holds anything is drawn.
        theme: The colours.
    """
    file = io.BytesIO()
    # Matplotlib's settings are the process's own: one figure at a time.
    with _ONE, rc_context({"svg.fonttype": "none", "svg.hashsalt": "kitlore"}):
        _figure(chart, theme).savefig(file, format="svg", metadata={"Date": None})
    return file.getvalue()


def onto(chart: Chart, canvas: Canvas, face: str) -> None:
    """Draw a chart on a page, its lower left corner at the canvas's origin.

    Args:
        chart: What to draw.
        canvas: Of the page.
        face: DejaVu Sans, as the canvas knows it.
    """
    with _ONE:
        vector.draw(_figure(chart, PAPER), canvas, face)


def size(chart: Chart) -> tuple[float, float]:
    """Return how wide and how high a chart is, in points."""
    rows = len((chart.intervals or chart.bars)[:_MOST])
    high = _ROOM + _INCHES_A_ROW * rows if rows else _HEIGHT
    return vector.POINTS * _WIDTH, vector.POINTS * high


def _figure(chart: Chart, theme: Theme) -> Figure:
    inches = [each / vector.POINTS for each in size(chart)]
    figure = Figure(figsize=(inches[0], inches[1]), facecolor=theme.ground, layout="constrained")
    axes = figure.add_subplot(facecolor=theme.ground)
    if chart.intervals:
        _intervals(axes, chart.intervals[:_MOST][::-1], chart.axis, theme)
    elif chart.bars:
        _bars(axes, chart.bars[:_MOST][::-1], chart.axis, theme)
    else:
        _curves(axes, chart, theme)
    axes.set_axisbelow(True)
    axes.tick_params(length=0, labelcolor=theme.ink, labelsize=11)
    for side in axes.spines.values():
        side.set_visible(False)
    return figure


def _curves(axes: Axes, chart: Chart, theme: Theme) -> None:
    if chart.steps:
        _steps(axes, chart.steps, theme)
    else:
        _points(axes, chart.points, theme)
    if chart.limit is not None:
        axes.axhline(chart.limit, color=theme.ink, lw=1.2, ls=(0, (6, 3)))
    axes.set_ylabel(chart.axis, color=theme.ink, fontsize=11)
    axes.set_xlabel(chart.across, color=theme.ink, fontsize=11)
    axes.set_ylim(bottom=0)
    axes.grid(color=theme.soft, lw=0.4)
    if len(chart.steps) + len(chart.points) > 1:
        axes.legend(frameon=False, labelcolor=theme.ink, fontsize=9, ncols=2)


def _bars(axes: Axes, shown: Sequence[Bar], axis: str, theme: Theme) -> None:
    rows = list(range(len(shown)))
    axes.barh(rows, [one.value for one in shown], 0.62, color=theme.mark)
    for row, one in zip(rows, shown, strict=True):
        axes.annotate(
            one.told,
            (one.value, row),
            (5, 0),
            textcoords="offset points",
            color=theme.ink,
            fontsize=10,
            va="center",
        )
    axes.set_yticks(rows, [one.name for one in shown])
    axes.margins(x=0.16)
    axes.set_xlim(left=0)
    axes.set_ylim(-0.6, len(shown) - 0.4)
    axes.set_xlabel(axis, color=theme.ink, fontsize=11)


def _intervals(axes: Axes, shown: Sequence[Interval], axis: str, theme: Theme) -> None:
    """Draw a dot at each value and a line over its interval; without a failure the line alone."""
    rows = range(len(shown))
    axes.hlines(rows, [one.low for one in shown], [one.high for one in shown], theme.ink, lw=2)
    axes.plot(
        [one.value for one in shown if one.value],
        [row for row, one in zip(rows, shown, strict=True) if one.value],
        "o",
        color=theme.mark,
        markersize=8,
    )
    axes.set_yticks(rows, [one.name for one in shown])
    axes.set_xlim(left=0)
    axes.set_ylim(-0.6, len(shown) - 0.4)
    axes.grid(axis="x", color=theme.soft, lw=0.5)
    axes.set_xlabel(axis, color=theme.ink, fontsize=11)


def _steps(axes: Axes, found: Sequence[Steps], theme: Theme) -> None:
    for one, colour in zip(found, theme.lines, strict=False):
        x = [one.start, *one.x]
        for values, width, style in ((one.y, 2.2, "-"), (one.low, 1, ":"), (one.high, 1, ":")):
            name = one.name if style == "-" else None
            y = [one.begin, *values]
            axes.step(x, y, color=colour, lw=width, ls=style, where="post", label=name)


def _points(axes: Axes, found: Sequence[Points], theme: Theme) -> None:
    days_at = AutoDateLocator(maxticks=_DATES)  # type: ignore[no-untyped-call]
    axes.xaxis.set_major_locator(days_at)
    axes.xaxis.set_major_formatter(AutoDateFormatter(days_at))  # type: ignore[no-untyped-call]
    for at, one in enumerate(found):
        colour, mark = theme.lines[at % len(theme.lines)], _MARKS[at % len(_MARKS)]
        days: Any = list(one.days)
        axes.plot(days, list(one.values), mark, color=colour, markersize=5, label=one.name)
        if one.line:
            across: Any = list(one.line_days)
            axes.plot(across, list(one.line), color=colour, lw=1.2)
            axes.fill_between(across, one.low, one.high, color=colour, alpha=0.15, lw=0)
