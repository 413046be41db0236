"""Figures of the review as SVG, by Matplotlib, in the colours of the dark or the light page."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from threading import Lock

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

_ONE = Lock()
_MOST = 20
_INCHES_A_ROW = 0.34
_WIDTH = 8.0


@dataclass(frozen=True)
class Theme:
    """The colours of a page: ground, ink, soft ink, and what the eye shall find."""

    ground: str
    ink: str
    soft: str
    mark: str


DARK = Theme("#12100e", "#f6f1ea", "#8f867a", "#ffc46b")
LIGHT = Theme("#fbf8f3", "#1b1713", "#7a7166", "#5a3a00")


@dataclass(frozen=True)
class Interval:
    """A rate with its limits, and what it's the rate of."""

    name: str
    value: float
    low: float
    high: float


def intervals(found: Sequence[Interval], axis: str, theme: Theme) -> bytes:
    """Return rates with their limits as an SVG file, the first on top.

    A dot is the rate, the line beside it the interval; without a failure there is only a line
    that begins at zero.

    Args:
        found: The rates; at most twenty are drawn.
        axis: What the axis says, with its unit.
        theme: The colours.
    """
    shown = list(reversed(found[:_MOST]))
    # Matplotlib's settings are the process's own: one figure at a time.
    with _ONE, rc_context({"svg.fonttype": "none", "svg.hashsalt": "kitlore"}):
        figure = Figure(
            figsize=(_WIDTH, 1.1 + _INCHES_A_ROW * len(shown)),
            facecolor=theme.ground,
            layout="constrained",
        )
        _draw(figure.add_subplot(facecolor=theme.ground), shown, axis, theme)
        file = io.BytesIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return file.getvalue()


@dataclass(frozen=True)
class Series:
    """One curve.

    Attributes:
        name: What it's of.
        x: Where its points lie, rising.
        y: How high.
        low: Lower limit at each, or empty.
        high: Upper limit at each, or empty.
        mark: A point of its own with the limits of where it lies: x, lowest, highest, y.
    """

    name: str
    x: Sequence[float]
    y: Sequence[float]
    low: Sequence[float] = ()
    high: Sequence[float] = ()
    mark: tuple[float, float, float, float] | None = None


def curves(
    found: Sequence[Series],
    axes_say: tuple[str, str],
    theme: Theme,
    *,
    steps: bool = True,
    level: float | None = None,
    days: bool = False,
) -> bytes:
    """Return curves with their limits as an SVG file, told apart by their strokes.

    Args:
        found: The curves; at most twenty are drawn.
        axes_say: What the axis along and the one upwards say, with their units.
        theme: The colours.
        steps: Each value holds until the next.
        level: A height to mark, where there is one.
        days: What lies along are days, by their ordinal.
    """
    with _ONE, rc_context({"svg.fonttype": "none", "svg.hashsalt": "kitlore"}):
        figure = Figure(figsize=(_WIDTH, 4.5), facecolor=theme.ground, layout="constrained")
        axes = figure.add_subplot(facecolor=theme.ground)
        for number, one in enumerate(found[:_MOST]):
            _stroke(axes, one, number, theme, steps=steps)
        if level is not None:
            axes.axhline(level, color=theme.mark, lw=1.5, ls="--")
        if days:
            axes.xaxis.set_major_formatter(FuncFormatter(_month))
        axes.set_ylim(bottom=0)
        _frame(axes, axes_say, theme)
        file = io.BytesIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return file.getvalue()


def bars(found: Sequence[tuple[str, float]], axis: str, theme: Theme) -> bytes:
    """Return bars as an SVG file, the greatest on top, its figure beside each.

    Args:
        found: What each is called, and how long it is; at most twenty are drawn.
        axis: What the axis says, with its unit.
        theme: The colours.
    """
    shown = list(reversed(found[:_MOST]))
    with _ONE, rc_context({"svg.fonttype": "none", "svg.hashsalt": "kitlore"}):
        size = (_WIDTH, 1.1 + _INCHES_A_ROW * len(shown))
        figure = Figure(figsize=size, facecolor=theme.ground, layout="constrained")
        axes = figure.add_subplot(facecolor=theme.ground)
        made = axes.barh(
            [name for name, _ in shown], [long for _, long in shown], color=theme.mark
        )
        axes.bar_label(made, fmt="{:,.4g}", padding=4, color=theme.ink, fontsize=10)
        _frame(axes, (axis, ""), theme)
        file = io.BytesIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return file.getvalue()


def _month(ordinal: float, _: int | None) -> str:
    return f"{date.fromordinal(max(1, round(ordinal))):%Y-%m}"


_STROKES = ("-", "--", "-.", ":")


def _stroke(axes: Axes, one: Series, number: int, theme: Theme, *, steps: bool) -> None:
    colour = (theme.mark, theme.ink, theme.soft)[number // len(_STROKES) % 3]
    style, drawn = _STROKES[number % len(_STROKES)], "steps-post" if steps else "default"
    axes.plot(one.x, one.y, style, drawstyle=drawn, color=colour, lw=2, label=one.name)
    if len(one.low):
        axes.fill_between(
            one.x,
            one.low,
            one.high,
            step="post" if steps else None,
            color=colour,
            alpha=0.18,
            lw=0,
        )
    if one.mark is not None:
        x, first, last, y = one.mark
        axes.hlines([y], [first], [last], color=colour, lw=3)
        axes.plot([x], [y], "o", color=colour, markersize=7)


def _frame(axes: Axes, say: tuple[str, str], theme: Theme) -> None:
    axes.grid(color=theme.soft, lw=0.5)
    axes.set_axisbelow(True)
    axes.tick_params(length=0, labelcolor=theme.ink, labelsize=11)
    axes.set_xlabel(say[0], color=theme.ink, fontsize=11)
    axes.set_ylabel(say[1], color=theme.ink, fontsize=11)
    if axes.get_legend_handles_labels()[1]:
        axes.legend(frameon=False, fontsize=10, labelcolor=theme.ink)
    for side in axes.spines.values():
        side.set_visible(False)


def _draw(axes: Axes, shown: Sequence[Interval], axis: str, theme: Theme) -> None:
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
    axes.set_axisbelow(True)
    axes.tick_params(length=0, labelcolor=theme.ink, labelsize=11)
    axes.set_xlabel(axis, color=theme.ink, fontsize=11)
    for side in axes.spines.values():
        side.set_visible(False)
