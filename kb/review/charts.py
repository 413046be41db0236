"""Figures of the review by Matplotlib, in the colours of the dark or light page or of paper."""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kb.review.paper import Chart, Interval, Points, Steps

_ONE = Lock()
_MOST = 20
_INCHES_A_ROW = 0.34
_WIDTH = 8.0
_HEIGHT = 3.8
_DPI = 160


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
PAPER = Theme("#ffffff", "#000000", "#777777", "#000000", LIGHT.lines)
_MARKS = "os^DvP*X"


def drawn(chart: Chart, theme: Theme, form: str = "svg") -> bytes:
    """Return a chart as a file.

    Args:
        chart: What to draw; its first kind that holds anything is drawn.
        theme: The colours.
        form: 'svg', or 'png' for what can't take the former.
    """
    if chart.intervals:
        return intervals(chart.intervals, chart.axis, theme, form)
    if chart.bars:
        height = _tall(len(chart.bars))
        return _file(lambda axes: _bars(axes, chart.bars, chart.axis, theme), height, theme, form)

    def act(axes: Axes) -> None:
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

    return _file(act, _HEIGHT, theme, form)


def intervals(found: Sequence[Interval], axis: str, theme: Theme, form: str = "svg") -> bytes:
    """Return rates with their limits as a file, the first on top.

    A dot is the rate, the line beside it the interval; without a failure there is only a line
    that begins at zero.

    Args:
        found: The rates; at most twenty are drawn.
        axis: What the axis says, with its unit.
        theme: The colours.
        form: 'svg' or 'png'.
    """
    shown = list(reversed(found[:_MOST]))
    height = _tall(len(shown))
    return _file(lambda axes: _intervals(axes, shown, axis, theme), height, theme, form)


def _tall(rows: int) -> float:
    return 1.1 + _INCHES_A_ROW * rows


def _file(act: Callable[[Axes], None], height: float, theme: Theme, form: str) -> bytes:
    # Matplotlib's settings are the process's own: one figure at a time.
    with _ONE, rc_context({"svg.fonttype": "none", "svg.hashsalt": "kitlore"}):
        figure = Figure(figsize=(_WIDTH, height), facecolor=theme.ground, layout="constrained")
        axes = figure.add_subplot(facecolor=theme.ground)
        act(axes)
        axes.set_axisbelow(True)
        axes.tick_params(length=0, labelcolor=theme.ink, labelsize=11)
        for side in axes.spines.values():
            side.set_visible(False)
        file = io.BytesIO()
        metadata: dict[str, Any] = {"Date": None} if form == "svg" else {"Software": None}
        figure.savefig(file, format=form, dpi=_DPI, metadata=metadata)
    return file.getvalue()


def _intervals(axes: Axes, shown: Sequence[Interval], axis: str, theme: Theme) -> None:
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


def _bars(axes: Axes, found: Sequence[tuple[str, float]], axis: str, theme: Theme) -> None:
    shown = list(reversed(found))
    axes.barh([name for name, _ in shown], [value for _, value in shown], color=theme.mark)
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
    for at, one in enumerate(found):
        colour, mark = theme.lines[at % len(theme.lines)], _MARKS[at % len(_MARKS)]
        days: Any = list(one.days)
        axes.plot(days, list(one.values), mark, color=colour, markersize=5, label=one.name)
        if one.line:
            across: Any = list(one.line_days)
            axes.plot(across, list(one.line), color=colour, lw=1.2)
            axes.fill_between(across, one.low, one.high, color=colour, alpha=0.15, lw=0)
